"""Change points of least squared error + penalty a change, by pruned exact search (PELT: Killick et
al. 2012, J Am Stat Assoc 107:1590-1598), all candidates of a step at once in numpy.

change_points.py FILE PENALTY        FILE: double values.  Answers the ends of the segments.
"""
import sys

import numpy

from peer import serve

x = numpy.fromfile(sys.argv[1])
penalty = float(sys.argv[2])


def call():
    n = len(x)
    centred = x - numpy.rint(x.mean())
    s1 = numpy.concatenate(([0.0], numpy.cumsum(centred)))
    s2 = numpy.concatenate(([0.0], numpy.cumsum(centred * centred)))
    before = numpy.zeros(n + 1)
    start = numpy.zeros(n + 1, dtype=numpy.int64)
    candidates = numpy.array([0])
    for to in range(1, n + 1):
        first = s1[to] - s1[candidates]
        cost = before[candidates] + (s2[to] - s2[candidates]) - first * first / (to - candidates)
        best = int(cost.argmin())
        start[to] = candidates[best]
        before[to] = cost[best] + penalty
        candidates = numpy.append(candidates[cost <= before[to]], to)
    ends = []
    at = n
    while at > 0:
        ends.append(at)
        at = int(start[at])
    return ends[::-1]


serve("numpy " + numpy.__version__ + ", PELT", call, lambda ends: ends)
