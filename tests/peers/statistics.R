# R's own answers, with R's own data sets and some made here, for statistics.test.mjs: prints one JSON object, each case with
# the engine's input and what survival and cmprsk make of the same rows. Numbers carry 17 digits.
suppressMessages({library(survival); library(cmprsk)})
tight <- coxph.control(eps = 1e-14, iter.max = 60, toler.chol = 1e-14)
json <- function(x) {
  if (is.null(x)) return("null")
  if (is.list(x)) return(if (is.null(names(x))) paste0("[", paste(vapply(x, json, ""), collapse = ","), "]")
    else paste0("{", paste0('"', names(x), '":', vapply(x, json, ""), collapse = ","), "}"))
  if (is.character(x)) { text <- paste0('"', x, '"') }
  else text <- ifelse(is.finite(x), formatC(x, digits = 17, format = "g", width = 1), "null")
  if (length(x) == 1 && !inherits(x, "AsIs")) text else paste0("[", paste(text, collapse = ","), "]")
}
cases <- list()
case <- function(name, call, input, expected) cases[[length(cases) + 1]] <<- list(name = name, call = call, input = input, expected = expected)
columns <- function(frame) list(names = I(colnames(frame)), columns = lapply(seq_len(ncol(frame)), function(j) I(as.numeric(frame[, j]))))
lifetimes <- function(stop, cause, start = NULL) { r <- list(stop = I(stop), cause = I(cause)); if (!is.null(start)) r$start <- I(start); r }

# Cox: R's sets, then rows made here with many ties, late entry, strata and patients.
cox <- function(name, stop, cause, x, start = NULL, stratum = NULL, patient = NULL, ties = "efron", transform = NULL) {
  y <- if (is.null(start)) Surv(stop, cause == 1) else Surv(start, stop, cause == 1)
  s <- if (is.null(stratum)) rep(1, length(stop)) else stratum
  # Breslow and Efron steps are Newton's; a line without patient is its own.
  fit <- if (is.null(patient)) coxph(y ~ x + strata(s), ties = ties, control = tight)
    else coxph(y ~ x + strata(s), cluster = patient, ties = ties, control = tight)
  count <- concordance(fit)$count
  if (is.matrix(count)) count <- colSums(count)
  input <- list(rows = lifetimes(stop, cause, start), cause = 1, covariates = columns(x), ties = ties, confidence = 0.95)
  if (!is.null(stratum)) input$stratum <- I(stratum)
  if (!is.null(patient)) input$patient <- I(patient)
  expected <- list(coefficient = I(unname(coef(fit))), error = I(unname(sqrt(diag(fit$var)))), likelihood = I(fit$loglik),
    score = fit$score, wald = unname(fit$wald.test), concordance = I(unname(count)))
  if (!is.null(transform)) {
    input$proportionality <- c(km = "survival", identity = "minutes", rank = "rank", log = "log_minutes")[[transform]]
    expected$proportionality <- I(unname(cox.zph(fit, transform = transform, terms = FALSE)$table[, "chisq"]))
  }
  case(paste("cox", name, ties), "statistics.cox", input, expected)
}
l <- na.omit(lung[, c("time", "status", "age", "sex", "ph.ecog", "inst")])
for (ties in c("efron", "breslow")) cox("lung", l$time, l$status - 1, as.matrix(l[, c("age", "sex", "ph.ecog")]), ties = ties, transform = "km")
cox("lung by hospital", l$time, l$status - 1, as.matrix(l[, c("age", "sex", "ph.ecog")]), patient = l$inst)
for (t in c("identity", "rank", "log")) cox(paste("lung", t), l$time, l$status - 1, as.matrix(l[, c("age", "sex", "ph.ecog")]), transform = t)
v <- cbind(model.matrix(~ trt + karno + diagtime + age + prior + celltype, veteran)[, -1])
cox("veteran", veteran$time, veteran$status, v, transform = "km")
cox("veteran by cell", veteran$time, veteran$status, v[, 1:5], stratum = as.integer(veteran$celltype))
h <- subset(heart, stop > start); h$start <- 2 * h$start; h$stop <- 2 * h$stop   # half days are whole in half days
cox("heart", h$stop, h$event, cbind(age = h$age, year = h$year, surgery = h$surgery, transplant = as.integer(h$transplant)),
    start = h$start, patient = h$id, transform = "km")
set.seed(20261125)
for (n in c(60, 400, 3000)) {
  start <- pmax(0L, as.integer(rnorm(n, 0, 8))); stop <- start + 1L + as.integer(rexp(n, 1 / 15)); cause <- rbinom(n, 1, .6)
  x <- cbind(a = rbinom(n, 1, .4), b = round(rnorm(n), 1), c = sample(0:3, n, TRUE))
  for (ties in c("efron", "breslow")) {
    cox(paste(n, "late, strata, patients"), stop, cause, x, start, sample(3L, n, TRUE), sample(n %/% 3, n, TRUE), ties)
    cox(paste(n, "tied"), stop, cause, x, ties = ties)
  }
}

# Dwell of a known shape: survreg, its coefficients in the logarithm of time; predictions of a survival (by hand of its
# covariance, on the scale of z) and of times.
shapes <- list(exponential = "exponential", weibull = "weibull", lognormal = "log_normal", loglogistic = "log_logistic")
lifetime <- function(name, stop, cause, x) for (dist in names(shapes)) {
  fit <- survreg(Surv(stop, cause == 1) ~ x, dist = dist, control = survreg.control(rel.tolerance = 1e-14, maxiter = 200))
  profile <- colMeans(x) + .5; known <- c(coef(fit), if (dist != "exponential") log(fit$scale)); share <- c(.1, .5, .9)
  spread <- if (dist == "exponential") 1 else fit$scale
  w <- switch(dist, exponential = , weibull = log(-log(1 - share)), lognormal = qnorm(share), loglogistic = qlogis(share))
  by <- sapply(w, function(q) c(1, profile, if (dist != "exponential") q * spread))
  at <- c(20, 200); lin <- sum(c(1, profile) * coef(fit)); z <- (log(at) - lin) / spread
  alive <- function(z) switch(dist, exponential = , weibull = exp(-exp(z)), lognormal = pnorm(z, lower.tail = FALSE), loglogistic = plogis(z, lower.tail = FALSE))
  dz <- sapply(z, function(q) c(-1, -profile, if (dist != "exponential") -q * spread) / spread)
  se <- sqrt(colSums(dz * (fit$var %*% dz)))
  case(paste("lifetimes", name, dist), "statistics.lifetimes",
    list(rows = lifetimes(stop, cause), cause = 1, covariates = columns(x), shape = shapes[[dist]], confidence = 0.95,
      profiles = list(I(unname(profile))), at = I(at), shares = I(share)),
    list(coefficient = I(unname(known)), error = I(unname(sqrt(diag(fit$var)))), likelihood = I(fit$loglik),
      survival = I(alive(z)), low = I(alive(z + qnorm(.975) * se)), high = I(alive(z - qnorm(.975) * se)),
      times = I(exp(lin + w * spread)), times_high = I(exp(lin + w * spread + qnorm(.975) * sqrt(colSums(by * (fit$var %*% by)))))))
}
lifetime("lung", l$time, l$status - 1, as.matrix(l[, c("age", "sex", "ph.ecog")]))
lifetime("veteran", veteran$time, veteran$status, v)
for (n in c(60, 3000)) lifetime(n, 1L + as.integer(rweibull(n, 1.4, 300)), rbinom(n, 1, .6), cbind(a = rbinom(n, 1, .4), b = round(rnorm(n), 1)))

# A rate by stretch of dwell: a Poisson regression of the rows cut in pieces. Columns about their means, as the engine's rates.
stretch <- function(name, stop, cause, x, cuts, start = NULL) {
  centred <- scale(x, scale = FALSE)
  long <- survSplit(Surv(s, e, d) ~ ., data.frame(s = if (is.null(start)) 0 else start, e = stop, d = as.integer(cause == 1), centred), cut = cuts, episode = "k")
  long$k <- factor(long$k); days <- long$e - long$s
  fit <- glm(reformulate(c("0", "k", colnames(x), "offset(log(days))"), "d"), poisson, long, control = glm.control(epsilon = 1e-15, maxit = 100))
  kept <- grepl("^k[0-9]+$", names(coef(fit)))
  input <- list(rows = lifetimes(stop, cause, start), cause = 1, cuts = I(cuts), covariates = columns(x), confidence = 0.95)
  error <- unname(sqrt(diag(vcov(fit))))
  case(paste("stretches", name), "statistics.stretches", input,
    list(rate = I(unname(exp(coef(fit)[kept])) * 1440000), error = I(error[kept]), coefficient = I(unname(coef(fit)[!kept])), errors = I(error[!kept]),
      likelihood = sum(long$d * (log(fitted(fit)) - log(days))) - sum(fitted(fit)), line_days = I(unname(tapply(days, long$k, sum)) / 1440)))
}
stretch("lung", l$time, l$status - 1, as.matrix(l[, c("age", "sex", "ph.ecog")]), c(100, 250, 500))
stretch("veteran", veteran$time, veteran$status, v, c(30, 100))
stretch("heart", h$stop, h$event, cbind(age = h$age, surgery = h$surgery), c(50, 200), h$start)

# Patients who differ: at θ given, every patient's ratio with what it has to do with the others' (sparse = FALSE); the
# likeliest θ by R's own search of that likelihood, for the package's stops after four digits.
frailty_case <- function(name, stop, cause, x, patient, theta = NULL, ties = "efron") {
  tighter <- coxph.control(eps = 1e-13, iter.max = 200, toler.chol = 1e-15, outer.max = 200)
  fixed <- function(theta) coxph(Surv(stop, cause == 1) ~ x + frailty(patient, distribution = "gamma", theta = theta, sparse = FALSE), ties = ties, control = tighter)
  level <- function(fit) fit$history[[1]]$c.loglik
  free <- is.null(theta)
  if (free) theta <- exp(optimize(function(g) level(fixed(exp(g))), log(c(.01, 10)), maximum = TRUE, tol = 1e-9)$maximum)
  fit <- fixed(theta); p <- seq_len(ncol(x))
  u <- exp(unname(coef(fit)[-p]))
  input <- list(rows = lifetimes(stop, cause), cause = 1, covariates = columns(x), patient = I(patient), ties = ties, confidence = 0.95)
  if (!free) input$spread <- theta
  expected <- list(coefficient = I(unname(coef(fit)[p])), error = I(unname(sqrt(diag(fit$var)[p]))), level = level(fit), without = fit$loglik[1], u = I(u / mean(u)))
  expected$without <- coxph(Surv(stop, cause == 1) ~ x, ties = ties, control = tight)$loglik[2]
  if (free) expected$spread <- theta
  case(paste("frailty", name, ties, if (free) "likeliest" else theta), "statistics.frailty", input, expected)
}
kx <- cbind(age = kidney$age, female = kidney$sex - 1)
for (theta in list(.2, 1.5, NULL)) frailty_case("kidney", kidney$time, kidney$status, kx, kidney$id, theta)
frailty_case("kidney", kidney$time, kidney$status, kx, kidney$id, .5, "breslow")
frailty_case("rats", rats$time, rats$status, cbind(rx = rats$rx, female = as.integer(rats$sex == "f")), rats$litter, .4)
frailty_case("rats", rats$time, rats$status, cbind(rx = rats$rx, female = as.integer(rats$sex == "f")), rats$litter)

# A change in a series. Newey and West's errors by hand of R's own scores.
series <- function(name, y, change, of = NULL, lags = NULL) {
  n <- length(y); t <- seq_len(n) - 1; after <- as.integer(t >= change); since <- after * (t - change)
  fit <- if (is.null(of)) lm(y ~ t + after + since) else glm(y ~ t + after + since + offset(log(of)), quasipoisson, control = glm.control(epsilon = 1e-15, maxit = 100))
  cov <- if (is.null(of)) vcov(fit) else summary(fit)$cov.unscaled * max(1, summary(fit)$dispersion)
  if (!is.null(lags)) { s <- model.matrix(fit) * (y - fitted(fit)); m <- crossprod(s)
    for (j in seq_len(lags)) { g <- crossprod(s[-(1:j), ], s[1:(n - j), ]); m <- m + (1 - j / (lags + 1)) * (g + t(g)) }
    bread <- summary(fit)$cov.unscaled; cov <- bread %*% m %*% bread }
  last <- c(0, 0, 1, n - 1 - change); e <- sum(last * coef(fit)); r <- qt(.975, n - 4) * sqrt(drop(last %*% cov %*% last)); show <- if (is.null(of)) identity else exp
  input <- list(kind = if (is.null(of)) "level" else "counts", change = change, confidence = 0.95)
  if (is.null(of)) input$value <- I(y) else { input$events <- I(y); input$of <- I(of) }
  if (!is.null(lags)) input$lags <- lags
  error <- unname(sqrt(diag(cov)))
  case(paste("segments", name, lags), "statistics.segments", input,
    list(coefficient = I(unname(coef(fit))), error = I(error), p = I(2 * pt(-abs(unname(coef(fit))) / error, n - 4)), effect = I(show(c(e, e - r, e + r))),
      dispersion = if (is.null(of)) summary(fit)$sigma^2 else max(1, summary(fit)$dispersion)))
}
for (lags in list(NULL, 3)) {
  series("belts", as.numeric(log(UKDriverDeaths)), 169, NULL, lags)
  series("belts, counted", as.numeric(Seatbelts[, "DriversKilled"]), 169, as.numeric(Seatbelts[, "kms"]), lags)
  series("few events", c(3, 0, 2, 4, 1, 2, 0, 1, 0, 1, 1, 0), 6, rep(c(40, 55, 38), 4), lags)
}

# Curves and their tests.
curves <- function(name, stop, cause, group, start = NULL, stratum = NULL, early = 0) {
  y <- if (is.null(start)) Surv(stop, cause) else Surv(start, stop, cause)
  fit <- survfit(y ~ group, conf.type = "log-log")
  k <- fit$n.event > 0
  expected <- list(survival = I(fit$surv[k]), low = I(fit$lower[k]), high = I(fit$upper[k]), hazard = I(fit$cumhaz[k]), hazard_error = I(fit$std.chaz[k]))
  input <- list(rows = lifetimes(stop, cause, start), group = I(group), wishes = list(confidence = 0.95, limits = "log_log"),
    weight = list(early = early, late = 0))
  if (!is.null(stratum)) input$stratum <- I(stratum)
  if (is.null(start)) expected$log_rank <- (if (is.null(stratum)) survdiff(y ~ group, rho = early) else survdiff(y ~ group + strata(stratum), rho = early))$chisq
  if (is.null(start)) { input$wishes$horizon <- 300; t <- summary(fit, rmean = 300)$table; expected$mean <- I(unname(t[, "rmean"])); expected$mean_error <- I(unname(t[, "se(rmean)"])) ; expected$median <- I(unname(t[, "median"])) }
  case(paste("curves", name), "statistics.curves", input, expected)
}
curves("veteran", veteran$time, veteran$status, as.integer(veteran$celltype))
curves("veteran early", veteran$time, veteran$status, as.integer(veteran$celltype), early = 1)
curves("lung by sex within ecog", l$time, l$status - 1, as.integer(l$sex), stratum = as.integer(l$ph.ecog))
curves("heart", h$stop, h$event, as.integer(h$surgery), start = h$start)

# Competing ends: pbc (transplant, death) and rows made here; all without and with ties of end and censoring.
competing <- function(name, stop, cause, group, x) {
  fit <- survfit(Surv(stop, factor(cause)) ~ group); s <- rep(seq_along(fit$strata), fit$strata)
  expected <- list(incidence = lapply(seq_along(fit$strata), function(g) lapply(2:3, function(k) { at <- s == g & fit$n.event[, k] > 0
    list(incidence = I(fit$pstate[at, k]), error = I(fit$std.err[at, k])) })))
  case(paste("competing", name), "statistics.competing_risks",
    list(rows = lifetimes(stop, cause), group = I(group), wishes = list(confidence = 0.95, limits = "log")), expected)
  for (rho in 0:1) { tests <- cuminc(stop, cause, group, rho = rho)$Tests
    for (k in 1:2) case(paste("gray", name, k, rho), "statistics.gray", list(rows = lifetimes(stop, cause), group = I(group), cause = k, early = rho),
      list(chi_square = tests[k, "stat"])) }
  # gtol: the package's own 1e-6 leaves five digits.
  fit <- crr(stop, cause, x, failcode = 1, cencode = 0, gtol = 1e-13, maxiter = 60)
  case(paste("fine and gray", name), "statistics.fine_gray", list(rows = lifetimes(stop, cause), cause = 1, covariates = columns(x), confidence = 0.95),
    list(coefficient = I(unname(fit$coef)), error = I(unname(sqrt(diag(fit$var)))), likelihood = I(c(fit$loglik.null, fit$loglik))))
}
p <- transform(pbc, g = ifelse(is.na(trt), 3L, trt))
competing("pbc", p$time, p$status, p$g, cbind(age = p$age, edema = p$edema, bili = p$bili))
for (n in c(80, 900)) { x <- cbind(a = rbinom(n, 1, .4), b = round(rnorm(n), 1))
  competing(paste(n, "tied"), 1L + as.integer(rexp(n, 1 / 12)), sample(0:2, n, TRUE), sample(3L, n, TRUE), x) }

# Events that come again.
b <- subset(bladder2, stop > start)
fit <- survfit(Surv(start, stop, event) ~ 1, b, id = id, robust = TRUE); k <- fit$n.event > 0
case("recurrent bladder2", "statistics.recurrent",
  list(rows = c(lifetimes(b$stop, b$event, b$start), list(line = I(b$id))), confidence = 0.95),
  list(mean = I(fit$cumhaz[k]), error = I(fit$std.chaz[k])))

# Rates beside each other.
for (r in list(c(41, 28010, 15, 19017), c(3, 900, 9, 1100), c(1, 50, 1, 70)))
  case(paste("rates", paste(r, collapse = " ")), "statistics.rate_ratio",
    list(one = list(events = r[1], time = paste(r[2], "d")), other = list(events = r[3], time = paste(r[4], "d")), tail = "exact", confidence = 0.95),
    list(ratio = I(c(poisson.test(r[c(1, 3)], r[c(2, 4)])$estimate[[1]], poisson.test(r[c(1, 3)], r[c(2, 4)])$conf.int))))
# Shares drawn together: the two integrals by R's own adaptive quadrature, the inner over the share of all.
fair <- function(name, x, n) {
  density <- function(m, r) { s <- 1 / r - 1; exp(sum(lbeta(m * s + x, (1 - m) * s + n - x) - lbeta(m * s, (1 - m) * s)) - top) }
  top <- 0; top <- log(max(outer(seq(.01, .99, .01), c(.001, .003, .01, .03, .1, .3, .5), Vectorize(density))))
  over <- function(f) integrate(Vectorize(function(y) { r <- plogis(y)
    r * (1 - r) * integrate(Vectorize(function(z) { m <- plogis(z); m * (1 - m) * f(m, r) * density(m, r) }), -9, 9, rel.tol = 1e-10, subdivisions = 2000)$value }), -18, 12, rel.tol = 1e-9, subdivisions = 2000)$value
  all <- over(function(m, r) 1)
  s <- function(r) 1 / r - 1
  case(paste("fair shares", name), "statistics.fair_shares",
    list(people = lapply(seq_along(x), function(i) list(name = LETTERS[i], events = x[i], of = n[i])), confidence = 0.95),
    list(share = over(function(m, r) m) / all, difference = over(function(m, r) r) / all,
      people = I(vapply(seq_along(x), function(i) over(function(m, r) (m * s(r) + x[i]) / (s(r) + n[i])) / all, 1)),
      higher = I(vapply(seq_along(x), function(i) over(function(m, r) pbeta(m, m * s(r) + x[i], (1 - m) * s(r) + n[i] - x[i], lower.tail = FALSE)) / all, 1))))
}
fair("of a ward", c(3, 12, 2, 9), c(41, 40, 3, 55))
fair("far apart", c(0, 15, 1, 30), c(20, 20, 30, 45))
cat(json(cases))
