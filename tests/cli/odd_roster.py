"""A roster of riders of whom little or nonsense is on file.

   odd_roster.py PROGRAM FOLDER      makes FOLDER/odd.plumbline and prints that path"""
import math
import os
import sys

from harness import run

TODAY = "2026-03-30"


def steps(second):
    """Power that changes: what a fit would ask for."""
    return 100 + 40 * (second // 300 % 4)


def wave(second):
    return 110 + 10 * (second // 300 % 4) + int(3 * math.sin(second / 40))


# What is written for a second of a ride: power, heart rate.
RIDES = {
    "constant heart rate": (steps, lambda second: 140),
    "even power": (lambda second: 150, wave),
    "no heart rate": (steps, lambda second: ""),
    "no power": (lambda second: "", wave),
    "no power at all": (lambda second: 0, wave),
    "not numbers": (lambda second: "nan", lambda second: "inf"),
    "numbers now and then": (lambda second: steps(second) if second % 7 else "NaN",
                             lambda second: wave(second) if second % 5 else "-inf"),
    "beyond all measure": (lambda second: 65000, lambda second: 254),
    "heart rate falls with power": (steps, lambda second: 190 - 10 * (second // 300 % 4)),
    "heart rate beyond any heart": (steps, lambda second: 300 + 10 * (second // 300 % 4)),
    "heart rate above all maxima": (steps, lambda second: 222 + 10 * (second // 300 % 4)),
    "one ride": (steps, wave),
    "days to come": (steps, wave),
    "a minute": (steps, wave),
}
N_RIDES = {"one ride": 1}
YEAR = {"days to come": 2099}
SECONDS = {"a minute": 60}


def write_ride(path, year, day, power, heart, seconds):
    with open(path, "w", encoding="utf-8") as out:
        out.write("time,power,heart_rate\n")
        for second in range(seconds):
            out.write(f"{year}-03-{day:02d}T08:{second // 60 % 60:02d}:{second % 60:02d}Z,"
                      f"{power(second)},{heart(second)}\n")


def env_of(folder):
    return {"PLUMBLINE_ROSTER": os.path.join(folder, "odd.plumbline")}


def add_odd_rider(program, folder, number, what):
    """The rider of that line of RIDES with facts and rides: name, and what went wrong on the way."""
    power, heart = RIDES[what]
    rider = f"Rider {chr(65 + number)}"
    rides = os.path.join(folder, f"odd-{number}")
    os.makedirs(rides)
    for day in range(1, 1 + N_RIDES.get(what, 5)):
        write_ride(os.path.join(rides, f"{day}.csv"), YEAR.get(what, 2026), 2 * day + 10, power, heart,
                   SECONDS.get(what, 3000))
    problems = []
    for words in (["rider", "add", rider], ["threshold", rider, "200", "--from", "2026-01-01"],
                  ["weight", rider, "25", "--from", "2026-01-01"],
                  ["max-heart-rate", rider, "189", "--from", "2026-01-01"],
                  ["rider", "screening", rider, "--no-to-all", "--on", "2026-01-02"]):
        done = run(program, *words, **env_of(folder))
        problems += [f"{words}: {done.stderr[:160]!r}"] if done.returncode != 0 else []
    run(program, "import", rides, "--rider", rider, **env_of(folder))
    return rider, problems


def main(program, folder):
    problems = []
    for name in ("Nobody Yet", "Absurd Weight"):
        done = run(program, "rider", "add", name, **env_of(folder))
        problems += [f"{name}: {done.stderr[:160]!r}"] if done.returncode != 0 else []
    for number, what in enumerate(RIDES):
        problems += add_odd_rider(program, folder, number, what)[1]
    for line in problems:
        print(line, file=sys.stderr)
    print(env_of(folder)["PLUMBLINE_ROSTER"])
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
