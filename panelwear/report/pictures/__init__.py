"""Charts drawn as SVG, light and dark, the same bytes for the same numbers.

They are given the plain charts of ``content`` and know neither figures nor comparison.
"""

from panelwear.report.pictures.draw import draw

__all__ = ["draw"]
