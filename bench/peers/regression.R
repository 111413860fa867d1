# Regression with AR(1) errors by exact maximum likelihood.
#   regression.R arima|gls FILE ROWS COLUMNS
# FILE: doubles, y [ROWS], then x [ROWS x COLUMNS] by row.  Answers the coefficients; gls also their
# standard errors and rho.
here <- dirname(sub("^--file=", "", grep("^--file=", commandArgs(), value = TRUE)))
source(file.path(here, "peer.R"))
words <- commandArgs(trailingOnly = TRUE)
n <- as.integer(words[3])
k <- as.integer(words[4])
numbers <- readBin(words[2], "double", n * (k + 1))
y <- numbers[seq_len(n)]
x <- matrix(numbers[-seq_len(n)], n, k, byrow = TRUE)
if (words[1] == "arima") {
  serve(paste("R", getRversion(), "arima"),
        function() arima(y, order = c(1, 0, 0), xreg = x, method = "ML"),
        function(fit) coef(fit)[c("intercept", paste0("x", seq_len(k)))], 0)
} else {
  suppressMessages(library(nlme))
  rows <- data.frame(y = y, x)
  serve(paste("R nlme", packageVersion("nlme"), "gls"),
        function() gls(y ~ ., data = rows, correlation = corAR1(), method = "ML"),
        function(fit) c(coef(fit), sqrt(diag(vcov(fit))),
                        coef(fit$modelStruct$corStruct, unconstrained = FALSE)), 0)
}
