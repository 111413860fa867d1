"""The greatest sum of every window length, or of a few.

best_means.py numpy FILE             every length, prefix sums
best_means.py pandas FILE LENGTH...  rolling means of the lengths named
best_means.py numpy FILE LENGTH...
FILE: int32 values, one a second.
"""
import sys

import numpy

from peer import serve

which, path = sys.argv[1:3]
x = numpy.fromfile(path, dtype=numpy.int32)
lengths = [int(a) for a in sys.argv[3:]] or range(1, len(x) + 1)

if which == "numpy":
    def call():
        sums = numpy.zeros(len(x) + 1, dtype=numpy.int32)
        numpy.cumsum(x, out=sums[1:])
        return [(sums[d:] - sums[:-d]).max() for d in lengths]

    serve("numpy " + numpy.__version__, call, lambda sums: sums)
else:
    import pandas

    series = pandas.Series(x)
    serve("pandas " + pandas.__version__,
          lambda: [series.rolling(d).mean().max() for d in lengths],
          lambda means: [m * d for m, d in zip(means, lengths)])
