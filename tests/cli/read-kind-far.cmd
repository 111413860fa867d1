# exit 2
"$PLUMBLINE" read x.fit --kind something-else
