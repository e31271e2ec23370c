# Lives from CSV to R's own format, so that survfit.R does not spend its time on reading text: Rscript to_rds.R LIVES.csv LIVES.rds
files <- commandArgs(trailingOnly = TRUE)
lives <- read.csv(files[1], stringsAsFactors = TRUE)
saveRDS(lives, files[2], compress = FALSE)
