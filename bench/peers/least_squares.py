"""y = level + size exp(-x / constant), by least squares.

least_squares.py FILE ROWS START...      FILE: doubles, x [ROWS], y [ROWS].
"""
import sys

import numpy
import scipy
import scipy.optimize

from peer import serve

path, n = sys.argv[1], int(sys.argv[2])
start = [float(a) for a in sys.argv[3:]]
numbers = numpy.fromfile(path)
x, y = numbers[:n], numbers[n:]


def model(at, level, size, constant):
    return level + size * numpy.exp(-at / constant)


serve("scipy " + scipy.__version__ + " curve_fit",
      lambda: scipy.optimize.curve_fit(model, x, y, p0=start), lambda fit: fit[0])
