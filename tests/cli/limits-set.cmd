# limits set for the roster and for a rider, and back
d=$(mktemp -d); trap 'rm -rf "$d"' EXIT
export PLUMBLINE_ROSTER="$d/r.plumbline" PLUMBLINE_WHO=Kim
p() { "$PLUMBLINE" "$@" --today 2026-05-20; }
p rider add "Ada Berg" >/dev/null
p limits base_drift_bpm
p limits base_drift_bpm 12 --rider ada --note 'starts cold'
p limits base_drift_bpm 11
echo; p limits --changed --rider ada | sed 's/ on 20[0-9-]*//'
echo; p limits --changed --rider ada --json | sed 's/20..-..-../DAY/g'
echo; p limits base_drift_bpm --remove --rider ada
p undo
p undo
p limits --changed
