# y = level + size exp(-x / constant), by least squares.
#   least_squares.R FILE ROWS START...      FILE: doubles, x [ROWS], y [ROWS].
here <- dirname(sub("^--file=", "", grep("^--file=", commandArgs(), value = TRUE)))
source(file.path(here, "peer.R"))
words <- commandArgs(trailingOnly = TRUE)
n <- as.integer(words[2])
begin <- as.numeric(words[3:5])
numbers <- readBin(words[1], "double", 2 * n)
rows <- data.frame(x = numbers[seq_len(n)], y = numbers[n + seq_len(n)])
serve(paste("R", getRversion(), "nls"),
      function() nls(y ~ level + size * exp(-x / constant), rows,
                     start = list(level = begin[1], size = begin[2], constant = begin[3])),
      coef)
