# exit 2
"$PLUMBLINE" read t.csv --column torque=watts
