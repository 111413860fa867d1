python3 -c '
import zipfile
with zipfile.ZipFile("two.zip", "w") as rides:
    for name in "ab":
        rides.write("2026-02-03-base-hour-eased-off.fit", f"{name}.fit")'
"$PLUMBLINE" read two.zip | grep "^two"
"$PLUMBLINE" read two.zip > /dev/null
