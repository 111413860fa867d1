"$PLUMBLINE" --help
