# exit 3
printf "easy -\n" > z.txt; "$PLUMBLINE" read x.fit --zones z.txt
