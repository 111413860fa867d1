# exit 3
printf "easy 75\neasy 90\nhard -\n" > z.txt; "$PLUMBLINE" read x.fit --zones z.txt
