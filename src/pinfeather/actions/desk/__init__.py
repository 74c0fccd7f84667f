"""The weighing desk: packages, cuttings, labels, scales."""
