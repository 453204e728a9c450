"""How a panel and the probe on it behave, from readings: response, levels, settling, drift, noise, the probe's place.

Pure functions: no screen, no files, no clock.
"""
