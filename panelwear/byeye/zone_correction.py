"""Light between two drive levels, and the correction laid over a zone to match it.

One 8-bit code near mid-grey is a 1.7 % step of light (gamma 2.2), coarser than what the eye can tell on a flat
field, so a correction is a spatial mix: a share of the zone's pixels stands one code higher. The mean light then
lies that share of the way between the two codes. Never a mix in time: that would meet the panel's own drive.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from panelwear.errors import UsageError
from patterns.frame import Codes, Fill, Frame, Rect

Response = Callable[[float], float]
"""Luminance of a field at a drive level 0..255, in cd/m² or any unit in proportion; strictly rising."""

TOP_CODE = 255


def mixed_luminance(response: Response, code: float) -> float:
    """Return the mean luminance of a spatial mix at ``code`` (whole part plus the share of pixels one higher)."""
    low = min(int(code), TOP_CODE)
    share = code - low
    if share <= 0:
        return response(low)
    return response(low) + share * (response(low + 1) - response(low))


def code_for(response: Response, luminance: float) -> float:
    """Return the code, fraction and all, whose spatial mix has this mean luminance; clipped to 0..255."""
    if luminance <= response(0):
        return 0.0
    if luminance >= response(TOP_CODE):
        return float(TOP_CODE)
    low, high = 0, TOP_CODE
    while high - low > 1:
        middle = (low + high) // 2
        if response(middle) <= luminance:
            low = middle
        else:
            high = middle
    below, above = response(low), response(high)
    return low + (luminance - below) / (above - below)


def scaled_code(response: Response, code: float, c: float) -> float:
    """Return the code whose light is ``1 + c`` times that of ``code``; clipped to what the panel can show."""
    return code if c == 0 else code_for(response, mixed_luminance(response, code) * (1 + c))


def reach(response: Response, code: float) -> tuple[float, float]:
    """Return the darkest and brightest correction (Weber, so -0.02 is 2 % darker) possible at ``code``."""
    here = mixed_luminance(response, code)
    if here <= 0:
        return (0.0, 0.0)
    return (response(0) / here - 1, response(TOP_CODE) / here - 1)


def code_step(response: Response, code: float) -> float:
    """Return the Weber step of light from ``code`` to the next whole code above (below, at the top)."""
    low = min(int(code), TOP_CODE - 1)
    here = mixed_luminance(response, code)
    return (response(low + 1) - response(low)) / here if here > 0 else float("inf")


def finest_step(response: Response, code: float, pixels: int) -> float:
    """Return the smallest Weber step a zone of so many pixels can be given: one pixel by one code.

    The mixing tile has 4096 ranks, so more than 4096 pixels bring nothing more.
    """
    return code_step(response, code) / max(1, min(pixels, 4096))


def onscreen(rect: Rect, width: int, height: int) -> Rect:
    """Return the part of ``rect`` that lies on the screen.

    Raises:
        UsageError: nothing of it does.
    """
    x, y = max(rect.x, 0), max(rect.y, 0)
    right, bottom = min(rect.right, width), min(rect.bottom, height)
    if right <= x or bottom <= y:
        raise UsageError(
            f"the zone at [{rect.x}, {rect.y}, {rect.w}, {rect.h}] lies outside the screen of {width} x {height} "
            "pixels: correct its rect_px in panel.toml"
        )
    return Rect(x, y, right - x, bottom - y)


@dataclass(frozen=True, slots=True)
class _Ring:
    rect: Rect
    share: float


def _rings(zone: Rect, edge_px: int) -> list[_Ring]:
    """Nested rectangles with the share of the correction each has: a straight ramp ``edge_px`` wide."""
    if edge_px <= 1:
        return [_Ring(zone, 1.0)]
    narrow = min(zone.w, zone.h)
    outermost = edge_px // 2
    rings: list[_Ring] = []
    for outset in range(outermost, -(narrow + 1) // 2, -1):
        inside = -outset + 0.5
        covered = min(inside + edge_px / 2, narrow) - max(inside - edge_px / 2, 0.0)
        share = min(1.0, max(0.0, covered / edge_px))
        if share <= 0 or (rings and share <= rings[-1].share):
            continue
        rings.append(_Ring(Rect(zone.x - outset, zone.y - outset, zone.w + 2 * outset, zone.h + 2 * outset), share))
        if share >= 1:
            break
    return rings


def _base_codes(frame: Frame, zone: Rect) -> Codes:
    x, y = zone.centre
    for fill in reversed(frame.fills):
        if fill.rect.x <= x < fill.rect.right and fill.rect.y <= y < fill.rect.bottom:
            return fill.codes
    return frame.background


def correction_frame(frame: Frame, zone_rect: Rect, c: float, edge_px: int, response: Response) -> Frame:
    """Lay a correction of Weber size ``c`` over a zone of a flat frame, its edge a straight ramp.

    Args:
        frame: a frame of fills (a field); its colour at the zone's centre is what is corrected.
        zone_rect: the zone in pixels; the part off the screen is left out.
        c: wanted change of light inside the zone, ``-0.01`` for 1 % darker; clipped to the panel's reach.
        edge_px: width of the ramp, centred on the zone's border: the wear of a border that pixel shift moves
            over so many pixels (a box blur). A zone narrower than the ramp never gets the whole correction, as
            its wear would not. In the corners the smaller of both ramps holds, where a box blur has their product.
        response: luminance against code of the frame's hue; each driven channel is moved through it.

    Returns:
        The frame with one more fill for each pixel of ramp, in codes with fractions (spatial mix).

    Raises:
        UsageError: the zone lies off the screen, or the frame is a picture and not a field.
    """
    if frame.pixels is not None:
        raise UsageError(f"a correction can be laid over a flat field only, not over the pattern '{frame.pattern}'")
    seen = onscreen(zone_rect, frame.width, frame.height)
    base = _base_codes(frame, seen)
    fills = list(frame.fills)
    for ring in _rings(zone_rect, edge_px):
        try:
            rect = onscreen(ring.rect, frame.width, frame.height)
        except UsageError:
            continue
        red, green, blue = (scaled_code(response, code, c * ring.share) for code in base)
        fills.append(Fill(rect, (red, green, blue)))
    shape = (*frame.shape, ("correction", f"{zone_rect.x} {zone_rect.y} {zone_rect.w} {zone_rect.h}"))
    return replace(frame, fills=tuple(fills), rect=seen, shape=shape)
