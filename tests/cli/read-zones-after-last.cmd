# exit 3
printf "easy -\nhard 90\n" > z.txt; "$PLUMBLINE" read x.fit --zones z.txt
