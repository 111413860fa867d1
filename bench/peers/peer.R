# The peers' side of bench/peer.h: say what runs, then run when asked.
# call() is timed, often enough to fill fill_s; answer(what it returned) is a row of numbers.
serve <- function(name, call, answer, fill_s = 0.05) {
  processor_s <- function() sum(proc.time()[c("user.self", "sys.self")])
  begun <- processor_s()
  call()
  calls <- max(1, floor(fill_s / max(processor_s() - begun, 1e-3)))
  cat("ready", name, "\n", sep = " ")
  flush(stdout())
  input <- file("stdin", "r")
  while (length(line <- readLines(input, n = 1)) == 1 && line == "run") {
    begun <- processor_s()
    for (i in seq_len(calls)) result <- call()
    seconds <- (processor_s() - begun) / calls
    numbers <- answer(result)
    cat(sprintf("%.9g", seconds), length(numbers), sprintf("%.17g", numbers), "\n")
    flush(stdout())
  }
}
