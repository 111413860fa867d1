"""Regression with AR(1) errors: feasible generalised least squares, repeated.

regression.py FILE ROWS COLUMNS
FILE: doubles, y [ROWS], then x [ROWS x COLUMNS] by row.  Not the same estimator as exact maximum
likelihood: answers the coefficients, to be compared loosely.
"""
import sys

import numpy
import statsmodels
import statsmodels.api

from peer import serve

path, n, k = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
numbers = numpy.fromfile(path)
y = numbers[:n]
x = statsmodels.api.add_constant(numbers[n:].reshape(n, k))
serve("statsmodels " + statsmodels.__version__ + " GLSAR",
      lambda: statsmodels.api.GLSAR(y, x, rho=1).iterative_fit(20),
      lambda fit: fit.params)
