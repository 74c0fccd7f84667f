"""Clean and cold: sanitiser strength, growth and kill on a logged curve, sampling, by-products."""
