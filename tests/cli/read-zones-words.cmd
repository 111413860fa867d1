# exit 3
printf "easy much\nhard -\n" > z.txt; "$PLUMBLINE" read x.fit --zones z.txt
