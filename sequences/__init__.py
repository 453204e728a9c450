"""In which order: sequence files, their reader, and their expansion into numbered steps.

Plans only: what is shown is a pattern, what is read a probe's business, and nothing here is carried out.
"""

PANELWEAR = True
"""Marks this package as the one that belongs to panelwear (``panelwear.guard`` looks for it)."""
