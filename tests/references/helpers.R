# What the R code in published.json calls beside the packages: survival, cmprsk.
rd <- function(f) read.csv(f)
# Weibull by the profile in the shape b: t exits, d failures, e entries, w how many lives each row stands for
wprof <- function(b, t, d, e = 0, w = 1) {
  r <- sum(w * d); m <- max(t); s <- sum(w * ((t / m)^b - (e / m)^b))
  r * log(b) - r * b * log(m) - r * log(s / r) + (b - 1) * sum(w * d * log(t)) - r
}
weta <- function(b, t, d, e = 0, w = 1) {
  m <- max(t)
  m * (sum(w * ((t / m)^b - (e / m)^b)) / sum(w * d))^(1 / b)
}
wll <- function(b, h, t, d, e = 0, w = 1)
  sum(w * (d * (log(b) - b * log(h) + (b - 1) * log(t)) - ((t / h)^b - (e / h)^b)))
wfit <- function(t, d, e = 0, w = 1, conf = .95, lo = .05, hi = 20, p = NULL) {
  o <- optimize(wprof, c(lo, hi), t = t, d = d, e = e, w = w, maximum = TRUE, tol = 1e-12)
  slope <- function(x) wprof(x * (1 + 1e-5), t, d, e, w) - wprof(x * (1 - 1e-5), t, d, e, w)
  b <- tryCatch(uniroot(slope, o$maximum * c(.9, 1.1), tol = 1e-13)$root, error = function(z) o$maximum)
  h <- weta(b, t, d, e, w); L <- wll(b, h, t, d, e, w); drop <- qchisq(conf, 1) / 2
  inside <- function(x) wprof(x, t, d, e, w) - (L - drop)
  res <- c(shape = b, scale = h, loglik = L,
           shape_lo = uniroot(inside, c(b / 6, b), tol = 1e-11)$root,
           shape_hi = uniroot(inside, c(b, b * 6), tol = 1e-11)$root)
  at_scale <- function(lh)
    optimize(function(x) wll(x, exp(lh), t, d, e, w), c(b / 8, b * 8), maximum = TRUE, tol = 1e-12)$objective - (L - drop)
  res <- c(res, scale_lo = exp(uniroot(at_scale, c(log(h) - 6, log(h)), tol = 1e-11)$root),
                scale_hi = exp(uniroot(at_scale, c(log(h), log(h) + 6), tol = 1e-11)$root))
  if (!is.null(p)) {
    k <- -log1p(-p); tp <- h * k^(1 / b)
    at_age <- function(lt)
      optimize(function(x) wll(x, exp(lt) / k^(1 / x), t, d, e, w), c(b / 8, b * 8), maximum = TRUE, tol = 1e-12)$objective - (L - drop)
    res <- c(res, tp = tp, tp_lo = exp(uniroot(at_age, c(log(tp) - 4, log(tp)), tol = 1e-11)$root),
                           tp_hi = exp(uniroot(at_age, c(log(tp), log(tp) + 4), tol = 1e-11)$root))
  }
  res
}
