# exit 1
d=$(mktemp -d); trap 'rm -rf "$d"' EXIT
cd "$d" && echo "seconds,power" > r.csv && "$PLUMBLINE" rider list --roster r.csv
