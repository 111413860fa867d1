"""Bests of every ride of a file that bests.mjs wrote, for 22 durations: bests_pandas.py FILE."""
import sys

import numpy
import pandas

DURATIONS = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 15, 20, 30, 60, 120, 180, 300, 480, 600, 1200, 1800,
             3600]
data = numpy.fromfile(sys.argv[1], dtype=numpy.int32)
at = 0
rides = 0
while at < len(data):
    power = pandas.Series(data[at + 1:at + 1 + data[at]]).astype(float)
    bests = [power.rolling(d).mean().max() for d in DURATIONS if d <= len(power)]
    at += 1 + data[at]
    rides += len(bests) > 0
print(rides)
