# exit 3
mkdir -p a-folder && "$PLUMBLINE" read a-folder
