# exit 2
"$PLUMBLINE" read x.fit --limit bridge_other_s=much
