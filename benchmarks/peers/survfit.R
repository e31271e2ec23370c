# Survival of every model with late entry: Rscript survfit.R LIVES.rds
suppressPackageStartupMessages(library(survival))
lives <- readRDS(commandArgs(trailingOnly = TRUE)[1])
began <- proc.time()[["elapsed"]]
fit <- survfit(Surv(entry, exit, failed) ~ model, data = lives)
seconds <- proc.time()[["elapsed"]] - began
cat(sprintf('{"seconds": %.6f, "models": %d, "failures": %d}\n', seconds, length(fit$strata), sum(fit$n.event)))
