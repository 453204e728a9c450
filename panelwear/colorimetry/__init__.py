"""Colour arithmetic: chromaticities, CCT and Duv, colour differences, transfer functions, correction matrices.

Pure functions of X, Y, Z with their sources; ``correction`` alone reads a file. Uncertainty does not live here.
"""
