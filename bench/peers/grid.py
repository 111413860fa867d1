"""Samples onto one row a second, short gaps filled in a straight line.

grid.py FILE ROWS LIMIT...
FILE: int32 columns of ROWS each: time in seconds (rising), then one a LIMIT, the longest gap that
is filled; INT32_MIN is missing.  Answers, a channel: cells known or filled, their sum.
"""
import sys

import numpy
import pandas

from peer import serve

path, rows = sys.argv[1], int(sys.argv[2])
limits = [int(a) for a in sys.argv[3:]]
table = numpy.fromfile(path, dtype=numpy.int32).reshape(len(limits) + 1, rows)
index = pandas.to_datetime(table[0].astype(numpy.int64), unit="s")
frame = pandas.DataFrame({str(i): table[i + 1].astype(float) for i in range(len(limits))},
                         index=index)
frame[frame == -2.0**31] = numpy.nan


def call():
    grid = frame.asfreq("1s")
    filled = pandas.DataFrame({c: grid[c].interpolate(limit=limits[i], limit_area="inside")
                               for i, c in enumerate(grid)})
    return grid, filled


def answer(result):
    """Outside the time: gaps longer than the limit, of which pandas fills the beginning, are left
    out, and the rest is rounded as ours, halves away from zero."""
    numbers = []
    grid, filled = result
    for i, column in enumerate(grid):
        missing = grid[column].isna()
        run = missing.groupby((~missing).cumsum()).transform("sum")
        cells = filled[column][~missing | (run <= limits[i])].dropna()
        rounded = numpy.sign(cells) * numpy.floor(numpy.abs(cells) + 0.5)
        numbers += [len(cells), rounded.sum()]
    return numbers


serve("pandas " + pandas.__version__, call, answer)
