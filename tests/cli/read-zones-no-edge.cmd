# exit 3
printf "easy\nhard -\n" > z.txt; "$PLUMBLINE" read x.fit --zones z.txt
