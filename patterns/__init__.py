"""Light out: what a pattern is, and its pixels.

Pure functions of screen size, colour and parameters, with numpy only: no window, no clock, no panel. A level in cd/m²
is turned into codes elsewhere.
"""

# Each puts its patterns into the registry, in this order.
from patterns import fields, ramps, checkers, zones, steps, geometry, target, title_card, camera, moving  # noqa: F401, I001
from patterns.errors import PatternError
from patterns.frame import BLACK, Codes, Fill, Frame, Picture, Rect
from patterns.grid import GridPoint, grid_points, place_name, zone_centres
from patterns.mix import achievable, mix
from patterns.parameters import Parameter
from patterns.raster import raster
from patterns.registry import Entry, build, entry, names

__all__ = [
    "BLACK",
    "Codes",
    "Entry",
    "Fill",
    "Frame",
    "GridPoint",
    "Parameter",
    "PatternError",
    "Picture",
    "Rect",
    "achievable",
    "build",
    "entry",
    "grid_points",
    "mix",
    "names",
    "place_name",
    "raster",
    "zone_centres",
]
