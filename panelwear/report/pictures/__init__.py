"""Charts drawn as SVG, light and dark, the same bytes for the same numbers."""

from panelwear.report.pictures.draw import draw

__all__ = ["draw"]
