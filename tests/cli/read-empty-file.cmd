# exit 3
: > empty.fit && "$PLUMBLINE" read empty.fit --json
