"""In which order: sequence files, their reader, and their expansion into numbered steps."""

PANELWEAR = True
"""Marks this package as the one that belongs to panelwear (``panelwear.guard`` looks for it)."""
