# exit 2
"$PLUMBLINE" help --completion fish
