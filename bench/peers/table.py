"""Reads a table of comma-separated values.  Answers, for each COLUMN: how many numbers, their sum.

table.py FILE COLUMN...
"""
import sys

import pandas

from peer import serve

path, columns = sys.argv[1], sys.argv[2:]
serve("pandas " + pandas.__version__, lambda: pandas.read_csv(path),
      lambda table: [n for c in columns for n in (table[c].count(), table[c].sum())])
