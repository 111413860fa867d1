# exit 3
printf "easy 75\nhard 90\n" > z.txt; "$PLUMBLINE" read x.fit --zones z.txt
