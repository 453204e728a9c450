"""Grey ramps on one screen: a stair of exact steps, and a smooth ramp."""

from __future__ import annotations

import numpy as np

from patterns.errors import PatternError
from patterns.fields import make_frame
from patterns.frame import BLACK, Codes, Fill, Frame, Rect
from patterns.mix import mix_map
from patterns.parameters import Parameter
from patterns.place import borders, nearest, screen_rect
from patterns.registry import Ground, pattern

DIRECTION = Parameter(
    "direction",
    "choice",
    "horizontal runs from left to right, vertical from top to bottom",
    "horizontal",
    choices=("horizontal", "vertical"),
)
START = Parameter("start", "codes", "colour of the first step; codes is the last one's", BLACK)


@pattern(
    "stair",
    "a ramp from start to codes in equal steps on one screen",
    Parameter("steps", "integer", "number of steps, both ends counted", 16, low=2, high=256),
    DIRECTION,
    START,
)
def stair(ground: Ground, *, steps: int, direction: str, start: Codes) -> Frame:
    """Divide the screen into steps of equal size whose codes go evenly from ``start`` to ``codes``.

    Geometry: step i of n goes from the pixel nearest to ``i * length / n`` to the one nearest to
    ``(i + 1) * length / n`` (no gap, sizes differ by at most one pixel). Codes are whole: the nearest to
    ``start + (codes - start) * i / (n - 1)``. ``lit_share`` 1.
    Source: equally spaced grey levels, IDMS grey scale (from memory: at least 9, better 17 or 33).
    """
    length = ground.width if direction == "horizontal" else ground.height
    if steps > length:
        raise PatternError(
            f"pattern {ground.pattern}: steps = {steps} do not fit into {length} pixels: at most {length}"
        )
    edges = borders(length, steps)
    fills = []
    for i in range(steps):
        red, green, blue = (
            float(nearest(a + (b - a) * i / (steps - 1))) for a, b in zip(start, ground.codes, strict=True)
        )
        size = edges[i + 1] - edges[i]
        rect = (
            Rect(edges[i], 0, size, ground.height)
            if direction == "horizontal"
            else Rect(0, edges[i], ground.width, size)
        )
        fills.append(Fill(rect, (red, green, blue)))
    shape = (("steps", steps), ("direction", direction))
    return make_frame(ground, screen_rect(ground), tuple(fills), 1.0, shape)


@pattern(
    "smooth-ramp",
    "a ramp from start to codes that changes from pixel to pixel",
    DIRECTION,
    START,
    Parameter("mixed", "flag", "smooth the steps of whole codes with the spatial mix", True),
)
def smooth_ramp(ground: Ground, *, direction: str, start: Codes, mixed: bool) -> Frame:
    """Let the code go in a straight line from the first pixel (``start``) to the last (``codes``).

    Geometry: pixel i of n has code ``start + (codes - start) * i / (n - 1)``; with ``mixed`` its fraction is shown by
    the spatial mix, without it is rounded to the nearest whole code (then bands of one code are seen: 8 bits are not
    enough to judge banding of a panel). ``lit_share`` 1.
    Source: common practice, no source.
    """
    length = ground.width if direction == "horizontal" else ground.height
    if length < 2:
        raise PatternError(f"pattern {ground.pattern}: needs at least 2 pixels from {direction} end to end, not 1")
    way = np.arange(length)[:, None] / (length - 1)
    line = np.array(start) + (np.array(ground.codes) - np.array(start)) * way
    line = line if mixed else np.floor(line + 0.5)
    codes = line[None, :, :] if direction == "horizontal" else line[:, None, :]
    whole = screen_rect(ground)
    if direction == "horizontal":
        # The picture repeats after 64 rows: make those once.
        band = mix_map(codes, Rect(0, 0, ground.width, min(64, ground.height)))
        pixels = np.tile(band, (-(-ground.height // 64), 1, 1))[: ground.height]
    else:
        band = mix_map(codes, Rect(0, 0, min(64, ground.width), ground.height))
        pixels = np.tile(band, (1, -(-ground.width // 64), 1))[:, : ground.width]
    shape = (("direction", direction), ("mixed", int(mixed)))
    return make_frame(ground, whole, (), 1.0, shape, pixels=np.ascontiguousarray(pixels))
