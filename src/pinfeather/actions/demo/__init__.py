"""The demo farm, made the way its people would have written it."""
