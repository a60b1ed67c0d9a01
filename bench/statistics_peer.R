# R's side of statistics_bench: the same tasks on the same rows, the call alone timed. Usage: FOLDER TASK ROWS
# Prints "seconds S" and "value V" lines in the order in which statistics_bench gives its own.
suppressMessages({library(survival); library(cmprsk)})
args <- commandArgs(TRUE); folder <- args[1]; task <- args[2]; rows <- as.integer(args[3])
column <- function(name) readBin(file.path(folder, name), "integer", rows)
number <- function(name) readBin(file.path(folder, name), "double", rows)
start <- column("start"); stop <- column("stop"); cause <- column("cause"); group <- column("group"); patient <- column("patient")
columns <- if (task == "fine_gray") 4 else 12
x <- if (!(task %in% c("kaplan_meier", "aalen_johansen", "aalen_johansen_plain")))
  sapply(seq_len(columns), function(j) number(paste0("x", j)))
tight <- coxph.control(eps = 1e-11, iter.max = 50)
say <- function(seconds, values) { cat("seconds", seconds, "\n"); for (v in values) cat("value", format(v, digits = 17), "\n") }
timed <- function(call) { t <- system.time(fit <- call())[["elapsed"]]; list(t, fit) }
fit_of <- function(r) c(coef(r[[2]]), sqrt(diag(vcov(r[[2]]))), r[[2]]$loglik, r[[2]]$concordance[["concordance"]])
if (task == "kaplan_meier") {
  r <- timed(function() survfit(Surv(stop, cause == 1) ~ group, conf.type = "log-log"))
  say(r[[1]], unname(summary(r[[2]], times = 4320)$surv))
} else if (task == "aalen_johansen") {
  r <- timed(function() survfit(Surv(stop, factor(cause)) ~ 1)); s <- summary(r[[2]], times = 4320)
  say(r[[1]], c(s$pstate[2:3], s$std.err[2:3]))
} else if (task == "aalen_johansen_plain") {
  r <- timed(function() survfit(Surv(stop, factor(cause)) ~ 1, se.fit = FALSE)); s <- summary(r[[2]], times = 4320)
  say(r[[1]], s$pstate[2:3])
} else if (task == "cox") {
  r <- timed(function() coxph(Surv(stop, cause == 1) ~ x, control = tight)); say(r[[1]], fit_of(r))
} else if (task == "start_stop") {
  r <- timed(function() coxph(Surv(start, stop, cause == 1) ~ x, control = tight)); say(r[[1]], fit_of(r))
} else if (task == "clustered") {
  r <- timed(function() coxph(Surv(stop, cause == 1) ~ x, cluster = patient, control = tight)); say(r[[1]], fit_of(r))
} else if (task == "fine_gray") {
  # The package's own tolerance leaves five digits; timed as it comes, compared with a tight one.
  r <- timed(function() crr(stop, cause, x)); say(r[[1]], c(r[[2]]$coef, sqrt(diag(r[[2]]$var))))
}
