"""Numbers in, numbers out: limits, ratios, dispersion, the estimate of a vessel."""
