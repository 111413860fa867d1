#!/usr/bin/env python3
"""Tables read by Plumbline and by readers from outside: csv_series.py PRINT_SERIES

The peers are Python's csv module and, where installed, pandas.read_csv: both split and parse the
very file that Plumbline reads, told in each case only how it was written.  Times and units are then
counted here, in whole numbers or decimals, and every sample must be the same.  Real tables of the
shared recordings are compared in the same way.
"""
import csv
import datetime
import decimal
import io
import os
import random
import subprocess
import sys
import tempfile

try:
    import pandas
except ImportError:
    pandas = None

SOURCE = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
SHARED = os.environ.get("PLUMBLINE_SHARED") or os.path.join(SOURCE, "..", "shared")

# The channels in the order in which print_series prints them, and what a step of them is.
CHANNELS = ["power", "heart_rate", "cadence", "speed", "distance", "altitude", "temperature",
            "latitude", "longitude", "balance"]
STEPS = {"power": "1", "heart_rate": "1", "cadence": "1", "speed": "0.001", "distance": "0.01",
         "altitude": "0.1", "temperature": "0.1"}
MISSING = {"", "NA", "NaN", "null", "-"}
UTC = datetime.timezone.utc
Decimal = decimal.Decimal

# Headers of a channel, and what one of their numbers is in the channel's unit (times, plus).
HEADERS = {
    "power": [("power", 1, 0), ("Watts", 1, 0), ("Puissance (W)", 1, 0)],
    "heart_rate": [("heart_rate", 1, 0), ("HR [bpm]", 1, 0), ("Fréquence cardiaque", 1, 0)],
    "cadence": [("cadence", 1, 0), ("Cad (rpm)", 1, 0)],
    "speed": [("speed", 1, 0), ("Speed (km/h)", Decimal(1) / Decimal("3.6"), 0),
              ("speed_mph", Decimal("0.44704"), 0)],
    "distance": [("distance", 1, 0), ("Dist (km)", 1000, 0),
                 ("distance_mi", Decimal("1609.344"), 0)],
    "altitude": [("altitude", 1, 0), ("Elevation [ft]", Decimal("0.3048"), 0)],
    "temperature": [("temp", 1, 0), ("Temperature (°F)", Decimal(5) / 9, Decimal(-160) / 9)],
}
TIMES = {
    "timestamp": lambda t: t.strftime("%Y-%m-%dT%H:%M:%SZ"),
    "time": lambda t: t.strftime("%Y-%m-%d %H:%M:%S"),
    "utc": lambda t: str(int(t.timestamp())),
    "datetime": lambda t: str(int(t.timestamp()) * 1000),
    "date time": lambda t: t.strftime("%d/%m/%Y %H:%M:%S"),
    "date_time": lambda t: t.strftime("%m/%d/%Y %I:%M:%S %p"),
}
PARSE = {
    "timestamp": lambda s: datetime.datetime.fromisoformat(s.replace("Z", "+00:00")),
    "time": lambda s: datetime.datetime.fromisoformat(s + "+00:00"),
    "utc": lambda s: datetime.datetime.fromtimestamp(int(s), UTC),
    "datetime": lambda s: datetime.datetime.fromtimestamp(int(s) // 1000, UTC),
    "date time": lambda s: datetime.datetime.strptime(s, "%d/%m/%Y %H:%M:%S").replace(tzinfo=UTC),
    "date_time": lambda s: datetime.datetime.strptime(s, "%m/%d/%Y %I:%M:%S %p").replace(
        tzinfo=UTC),
}


class Variant:
    """A table and how it was written."""

    def __init__(self, dice):
        self.delimiter = dice.choice(",;\t")
        self.decimal = dice.choice(".,") if self.delimiter != "," else "."
        self.encoding = dice.choice(["utf-8", "utf-8-sig", "utf-16", "cp1252"])
        self.line_end = dice.choice(["\n", "\r\n"])
        self.before = [] if dice.random() < 0.5 else [["A ride"], ["by", "somebody"], []]
        self.time = dice.choice(list(TIMES))
        self.columns = [(channel, *dice.choice(HEADERS[channel]))
                        for channel in dice.sample(list(HEADERS), len(HEADERS))
                        if channel == "power" or dice.random() < 0.8]
        self.notes = dice.random() < 0.5
        self.quoting = dice.choice([csv.QUOTE_MINIMAL, csv.QUOTE_ALL])

    def __str__(self):
        return (f"{self.delimiter!r} {self.decimal!r} {self.encoding} {self.time!r} "
                f"{[column[1] for column in self.columns]}")

    def write(self, path, dice):
        out = io.StringIO(newline="")
        writer = csv.writer(out, delimiter=self.delimiter, lineterminator=self.line_end,
                            quoting=self.quoting)
        for row in self.before:
            writer.writerow(row)
        headers = [self.time] + [header for _, header, _, _ in self.columns]
        writer.writerow(headers + (["Notes"] if self.notes else []))
        now = datetime.datetime(2026, 3, 14, 9, 26, 53, tzinfo=UTC)
        distance = Decimal(0)
        for _ in range(300):
            row = [TIMES[self.time](now)]
            distance += Decimal(dice.randint(0, 1500)) / 100
            for channel, _, times, plus in self.columns:
                row.append(self.spell(dice, channel, times, plus, distance))
            if self.notes:
                row.append(dice.choice(["", "up, and \"down\"", "two\nlines", "a;b\tc"]))
            writer.writerow(row)
            now += datetime.timedelta(seconds=1 if dice.random() < 0.95 else dice.randint(2, 40))
        with open(path, "w", encoding=self.encoding, newline="") as file:
            file.write(out.getvalue())

    def spell(self, dice, channel, times, plus, distance):
        if channel != "distance" and dice.random() < 0.05:
            return dice.choice(sorted(MISSING))
        if channel in ("power", "heart_rate", "cadence"):
            return str(dice.randint(1, 200))
        # Nothing on the half of a step: there the last digit of a factor would decide.
        value = Decimal(dice.randint(10, 30000)) / 1000 + Decimal("0.0003")
        value = distance if channel == "distance" else value
        return f"{(value - plus) / times:.6f}".replace(".", self.decimal)

    def rows_by_csv(self, path):
        with open(path, encoding=self.encoding, newline="") as file:
            rows = [row for row in csv.reader(file, delimiter=self.delimiter) if row]
        return rows[len([row for row in self.before if row]):]

    def rows_by_pandas(self, path):
        table = pandas.read_csv(path, sep=self.delimiter, encoding=self.encoding,
                                skiprows=len(self.before), dtype=str, keep_default_na=False)
        return [list(table.columns)] + table.values.tolist()


def in_steps(channel, cell, point, times, plus):
    """Rounded once, halves away from zero, as the FIT protocol's whole numbers."""
    if cell in MISSING:
        return "-"
    value = Decimal(cell.replace(point, ".")) * times + plus
    return str(int((value / Decimal(STEPS[channel])).quantize(Decimal(1), decimal.ROUND_HALF_UP)))


def series(rows, parse, columns, point):
    """What print_series prints, from the cells of a peer; columns: (channel, header, times, plus)"""
    headers = rows[0]
    found = {channel: (headers.index(header), times, plus)
             for channel, header, times, plus in columns}
    start = None
    lines = []
    for row in rows[1:]:
        when = parse(row[0])
        start = when if start is None else start
        cells = []
        for channel in CHANNELS:
            if channel in found:
                at, times, plus = found[channel]
                cells.append(in_steps(channel, row[at], point, times, plus))
            else:
                cells.append("-")
        lines.append(" ".join([str(int((when - start).total_seconds()))] + cells))
    return [f"recording {int(start.timestamp())}"] + lines


def printed(program, paths):
    """The lines of each recording of these files, one a file."""
    done = subprocess.run([program, *paths], stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                          timeout=300, check=False)
    recordings = []
    for line in done.stdout.decode().splitlines():
        if line.startswith("recording"):
            recordings.append([])
        recordings[-1].append(line)
    if done.returncode != 0 or len(recordings) != len(paths):
        sys.exit(f"{len(recordings)} recordings of {len(paths)} files: {done.stderr.decode()[:300]}")
    return recordings


def differences(got, want):
    if len(got) != len(want):
        return [f"{len(got)} lines, wanted {len(want)}: {got[:1]}"]
    return [f"line {i}: got {a!r}, wanted {b!r}" for i, (a, b) in enumerate(zip(got, want))
            if a != b]


class Tally:
    def __init__(self):
        self.passed = self.failed = self.skipped = 0

    def check(self, name, problems):
        if problems:
            self.failed += 1
            print(f"FAILED: {name}: " + "; ".join(problems[:3]))
        else:
            self.passed += 1
            print(f"ok: {name}")

    def skip(self, why):
        self.skipped += 1
        print(f"skipped: {why}")


def generated(tally, program, folder):
    dice = random.Random(20260314)
    by_csv, by_pandas = [], []
    variants = [Variant(dice) for _ in range(60)]
    paths = [os.path.join(folder, f"{number}.csv") for number in range(len(variants))]
    for variant, path in zip(variants, paths):
        variant.write(path, dice)
    for variant, path, got in zip(variants, paths, printed(program, paths)):
        parse = PARSE[variant.time]
        for name, problems, rows in (
                ("csv", by_csv, variant.rows_by_csv),
                ("pandas", by_pandas, variant.rows_by_pandas)):
            if name == "csv" or pandas is not None:
                want = series(rows(path), parse, variant.columns, variant.decimal)
                problems += [f"{variant}: {d}" for d in differences(got, want)]
    tally.check("60 written tables as Python's csv module reads them", by_csv)
    if pandas is None:
        tally.skip("pandas is not installed (python3-pandas)")
    else:
        tally.check("60 written tables as pandas reads them", by_pandas)


REAL = ["real/csv-ride-2020-08-18-power-hr.csv", "real/csv-ride-2020-08-20-power-hr.csv"]


def real(tally, program):
    columns = [("power", "power", 1, 0), ("heart_rate", "heart-rate", 1, 0),
               ("cadence", "cadence", 1, 0), ("speed", "speed", 1, 0)]
    for name in REAL:
        path = os.path.join(SHARED, "recordings", name)
        with open(path, encoding="utf-8", newline="") as file:
            rows = list(csv.reader(file))
        tally.check(f"{name} as Python's csv module reads it",
                    differences(printed(program, [path])[0],
                                series(rows, PARSE["time"], columns, ".")))


def main():
    program = os.path.abspath(sys.argv[1])
    tally = Tally()
    with tempfile.TemporaryDirectory() as folder:
        generated(tally, program, folder)
    if os.path.isdir(os.path.join(SHARED, "recordings")):
        real(tally, program)
    else:
        tally.skip("shared recordings absent (PLUMBLINE_SHARED or ../shared)")
    print(f"TOTAL {tally.passed} {tally.failed} {tally.skipped}")
    return 1 if tally.failed else 0


if __name__ == "__main__":
    sys.exit(main())
