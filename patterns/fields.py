"""Field and window: one colour over the whole screen, or over a stated share of its area."""

from __future__ import annotations

import math

from patterns.errors import PatternError
from patterns.frame import BLACK, Codes, Fill, Frame, Picture, Rect
from patterns.mix import code_of, light_of
from patterns.parameters import Parameter
from patterns.place import Point, centre_px, grow, nearest, round_centre, screen_rect
from patterns.registry import Ground, pattern

AT = Parameter("at", "point", "centre as fractions of the screen's width and height", (0.5, 0.5), low=0, high=1)
AT_PX = Parameter("at_px", "point", "centre in pixels from the top left; comes before at", low=0)
GAMMA = Parameter("gamma", "number", "power of the response used to reckon light", 2.2, low=1, high=4)


@pattern("field", "one colour over the whole screen")
def field(ground: Ground) -> Frame:
    """Fill the screen with one colour.

    Geometry: every pixel; ``lit_share`` 1. Primaries and secondaries are fields with 0 and 255 in ``codes``.
    Source: full-screen white, black and primaries, IDMS / FPDM 2.0 302 (from memory).
    """
    whole = screen_rect(ground)
    return make_frame(ground, whole, (Fill(whole, ground.codes),), 1.0)


@pattern(
    "window",
    "a rectangle of a stated share of the screen's area, on a background",
    Parameter("share", "number", "share of the screen's area (0.1 is 10 %)", 0.1, low=0, high=1, above_low=True),
    Parameter("shape", "choice", "in the screen's proportion, or square", "screen", choices=("screen", "square")),
    AT,
    AT_PX,
    Parameter(
        "surround_mean_code",
        "number",
        "drive level whose linear light the mean of the whole frame is held at, channel by channel, by the surround's"
        " colour; without it there is no surround",
        low=0,
        high=255,
    ),
    GAMMA,
    Parameter("collar_px", "integer", "width in pixels of a black collar round the window", 0, low=0, high=8192),
)
def window(
    ground: Ground,
    *,
    share: float,
    shape: str,
    at: Point,
    at_px: Point | None,
    surround_mean_code: float | None,
    gamma: float,
    collar_px: int,
) -> Frame:
    """Fill a share of the screen's area.

    Geometry: the width is ``W * sqrt(share)`` rounded down or up, the height the whole number nearest to
    ``share * W * H / width``; of the two the one nearer to the area asked for. So the proportion is the screen's to a
    pixel, and the area misses the wanted one by at most half a row of the window; a square's side
    is the whole number nearest to ``sqrt(share * W * H)``. The place is the nearest to the centre asked for (half a
    pixel to the right and down where both parities differ).
    With ``surround_mean_code`` m everything outside window and collar gets, in each channel, the code (a spatial mix)
    that holds the mean linear light at that of m: an emissive panel then draws the same current for every patch.
    ``lit_share`` counts the window and the surround, never the black collar.
    Source: window share and box geometry, IDMS / FPDM 2.0 (from memory); surround and collar, design of published
    OLED stability work (constant average picture level, black collar round the target).
    """
    rect = round_centre(ground, centre_px(ground, at, at_px), *_window_size(ground, share, shape))
    collar = grow(ground, rect, collar_px)
    fills: list[Fill] = []
    lit = rect.area
    told: list[tuple[str, str | int | float]] = [("share", share), ("shape", shape)]
    if surround_mean_code is not None:
        codes = surround_codes(ground, rect, collar, surround_mean_code, gamma)
        fills.append(Fill(screen_rect(ground), codes))
        lit += ground.width * ground.height - collar.area
        told += [("surround_mean_code", surround_mean_code), ("gamma", gamma)]
    if collar_px:
        fills.append(Fill(collar, BLACK))
        told.append(("collar_px", collar_px))
    fills.append(Fill(rect, ground.codes))
    return make_frame(ground, rect, tuple(fills), lit / (ground.width * ground.height), tuple(told))


def _window_size(ground: Ground, share: float, shape: str) -> tuple[int, int]:
    wanted = share * ground.width * ground.height
    if nearest(wanted) < 1:
        least = 0.5 / (ground.width * ground.height)
        raise PatternError(
            f"pattern {ground.pattern}: share = {share:g} of {ground.width} x {ground.height} pixels is less than one"
            f" pixel: at least {least:.3g}"
        )
    if shape == "screen":
        low = math.floor(ground.width * math.sqrt(share))
        sizes = [(w, min(max(nearest(wanted / w), 1), ground.height)) for w in (low, low + 1) if 1 <= w <= ground.width]
        return min(sizes, key=lambda size: abs(size[0] * size[1] - wanted))
    side, short = max(nearest(math.sqrt(wanted)), 1), min(ground.width, ground.height)
    if side > short:
        most = short * short / (ground.width * ground.height)
        raise PatternError(
            f"pattern {ground.pattern}: a square of share = {share:g} does not fit on {ground.width} x {ground.height}:"
            f" at most {most:.4f}"
        )
    return side, side


def surround_codes(ground: Ground, rect: Rect, collar: Rect, mean_code: float, gamma: float) -> Codes:
    """Return the surround that holds the frame's mean linear light at that of ``mean_code``, channel by channel.

    ``A_window * L(window) + A_surround * L(surround) = A_screen * L(mean)``, with ``L(c) = (c / 255) ** gamma`` at
    whole codes and straight lines between (what a spatial mix gives).

    Raises:
        PatternError: when no code can do it, with the means that can be held.
    """
    total = ground.width * ground.height
    free = total - collar.area
    if free == 0:
        raise PatternError(
            f"pattern {ground.pattern}: window and collar leave no pixel for a surround: smaller ones do"
        )
    own = [light_of(c, gamma) * rect.area for c in ground.codes]
    lights = [(light_of(mean_code, gamma) * total - light) / free for light in own]
    if min(lights) < -1e-9 or max(lights) > 1 + 1e-9:
        low, high = code_of(max(own) / total, gamma), code_of((min(own) + free) / total, gamma)
        able = f"{low:.2f} to {high:.2f} can be held" if low <= high else "no mean can be held for this colour"
        raise PatternError(f"pattern {ground.pattern}: surround_mean_code = {mean_code:g} is out of reach: {able}")
    red, green, blue = (code_of(light, gamma) for light in lights)
    return (red, green, blue)


def make_frame(
    ground: Ground,
    rect: Rect,
    fills: tuple[Fill, ...],
    lit_share: float,
    shape: tuple[tuple[str, str | int | float], ...] = (),
    *,
    pixels: Picture | None = None,
) -> Frame:
    """Put a frame together for a ground."""
    return Frame(
        pattern=ground.pattern,
        width=ground.width,
        height=ground.height,
        background=ground.background,
        rect=rect,
        fills=fills,
        shape=shape,
        lit_share=lit_share,
        pixels=pixels,
    )


def scaled(codes: Codes, level: int) -> Codes:
    """Return ``level / 255`` of a colour, each channel rounded to a whole drive level."""
    red, green, blue = (float(nearest(code * level / 255)) for code in codes)
    return (red, green, blue) if level else BLACK
