# exit 3
python3 -c '
import zipfile
with zipfile.ZipFile("whole.zip", "w") as rides:
    rides.writestr("ride.csv", "seconds,power\n0,150\n")
open("cut.zip", "wb").write(open("whole.zip", "rb").read()[:-20])'
"$PLUMBLINE" read cut.zip --json
