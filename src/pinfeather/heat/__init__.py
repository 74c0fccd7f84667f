"""Bodies in water and air: chilling, ice, scald water, thermometers."""
