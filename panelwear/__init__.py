"""Repeatable display inspections: patterns on the real pixels, colorimeter readings, and what they say of wear."""

__version__ = "0.1.0"
