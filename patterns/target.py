"""The probe target: where to put the probe, in millimetres, and where it sat before."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from patterns.errors import PatternError
from patterns.fields import AT, AT_PX, make_frame
from patterns.frame import Fill, Frame, Rect
from patterns.parameters import Parameter
from patterns.place import Point, centre_px, clip, nearest
from patterns.registry import Ground, pattern


@dataclass(slots=True)
class _Drawing:
    """Collects lines, clipped at the screen's edge."""

    ground: Ground
    thick_px: int
    rects: list[Rect] = field(default_factory=list)

    def across(self, x0: float, x1: float, y: float) -> None:
        """Draw a horizontal line whose middle is at y."""
        left, right = _ends(x0, x1)
        self.add(Rect(left, nearest(y - self.thick_px / 2), max(right - left, 1), self.thick_px))

    def down(self, x: float, y0: float, y1: float) -> None:
        """Draw a vertical line whose middle is at x."""
        top, bottom = _ends(y0, y1)
        self.add(Rect(nearest(x - self.thick_px / 2), top, self.thick_px, max(bottom - top, 1)))

    def add(self, rect: Rect) -> None:
        """Keep what lies on the screen."""
        part = clip(self.ground, rect)
        if part is not None:
            self.rects.append(part)


def _ends(one: float, other: float) -> tuple[int, int]:
    """Return the pixels a line covers; halves go the same way from the middle on both sides."""
    return nearest(min(one, other)), math.ceil(max(one, other) - 0.5)


@pattern(
    "target",
    "where to put the probe: corner brackets and a cross with millimetre ticks",
    AT,
    AT_PX,
    Parameter("pitch_mm", "point", "size of one pixel in millimetres (x, y)", (0.25, 0.25), low=0, above_low=True),
    Parameter("size_mm", "number", "side of the square the brackets mark: the probe's housing", 40.0, low=1, high=500),
    Parameter("before_mm", "point", "where the probe sat before, from the place (x to the right, y down)"),
    default_codes=(72.0, 72.0, 72.0),
)
def target(
    ground: Ground, *, at: Point, at_px: Point | None, pitch_mm: Point, size_mm: float, before_mm: Point | None
) -> Frame:
    """Draw the target for the probe.

    Geometry: four corner brackets round a square of ``size_mm``, arms a quarter of it; a cross through the place,
    from edge to edge of a square 1.6 times as large, so that its ends show beside a housing that hides the middle;
    ticks each millimetre (0.6 mm to each side), each 5 mm (1.2 mm) and each 10 mm (2 mm). Lines are 0.2 mm thick and
    at least one pixel, brackets and arrow more; millimetre ticks closer than four line widths are left out. With
    ``before_mm`` a hollow square of 3 mm marks where the probe sat before, and from 3 mm on an arrow leads from there
    to the place: put the probe on the hollow square to repeat the last placement. What lies off the screen is cut
    off. ``rect``: the bracketed square as far as it is on the screen; ``lit_share``: the area of all lines, crossings
    counted each time.
    Dim by default (code 72, about 6 % of peak light at gamma 2.2), so that eyes keep their adaptation.
    Source: our own; the place is what the instrument's repeatability hangs on.
    """
    if min(pitch_mm) <= 0 or max(pitch_mm) > 10:
        raise PatternError(f"pattern {ground.pattern}: pitch_mm = {pitch_mm} is not allowed: above 0 and at most 10 mm")
    x, y = centre_px(ground, at, at_px)
    per_mm = (1 / pitch_mm[0], 1 / pitch_mm[1])
    drawing = _Drawing(ground, max(1, nearest(0.2 * min(per_mm))))
    half = (size_mm / 2 * per_mm[0], size_mm / 2 * per_mm[1])
    _brackets(drawing, (x, y), half)
    _cross(drawing, (x, y), per_mm, 0.8 * size_mm)
    if before_mm is not None:
        _before(drawing, (x, y), per_mm, before_mm)
    box = Rect(nearest(x - half[0]), nearest(y - half[1]), nearest(2 * half[0]), nearest(2 * half[1]))
    box = clip(ground, Rect(box.x, box.y, max(box.w, 1), max(box.h, 1))) or Rect(0, 0, ground.width, ground.height)
    fills = tuple(Fill(rect, ground.codes) for rect in drawing.rects)
    lit = min(1.0, sum(rect.area for rect in drawing.rects) / (ground.width * ground.height))
    shape = (("size_mm", size_mm), ("pitch_x_mm", pitch_mm[0]), ("pitch_y_mm", pitch_mm[1]))
    return make_frame(ground, box, fills, lit, shape)


def _brackets(drawing: _Drawing, centre: Point, half: Point) -> None:
    fine_px, drawing.thick_px = drawing.thick_px, 3 * drawing.thick_px
    for sx in (-1, 1):
        for sy in (-1, 1):
            corner = (centre[0] + sx * half[0], centre[1] + sy * half[1])
            reach = drawing.thick_px / 2
            drawing.across(corner[0] + sx * reach, corner[0] - sx * half[0] / 2, corner[1])
            drawing.down(corner[0], corner[1], corner[1] - sy * half[1] / 2)
    drawing.thick_px = fine_px


def _cross(drawing: _Drawing, centre: Point, per_mm: Point, reach_mm: float) -> None:
    x, y = centre
    drawing.across(x - reach_mm * per_mm[0], x + reach_mm * per_mm[0], y)
    drawing.down(x, y - reach_mm * per_mm[1], y + reach_mm * per_mm[1])
    step = 1 if min(per_mm) >= 4 * drawing.thick_px else 5
    for mm in range(step, math.floor(reach_mm) + 1, step):
        tick = 2.0 if mm % 10 == 0 else 1.2 if mm % 5 == 0 else 0.6
        for sign in (-1, 1):
            at_x, at_y = x + sign * mm * per_mm[0], y + sign * mm * per_mm[1]
            drawing.down(at_x, y - tick * per_mm[1], y + tick * per_mm[1])
            drawing.across(x - tick * per_mm[0], x + tick * per_mm[0], at_y)


def _before(drawing: _Drawing, centre: Point, per_mm: Point, before_mm: Point) -> None:
    """Mark the former place with a hollow square, and lead from there to the place with an arrow."""
    x, y = centre[0] + before_mm[0] * per_mm[0], centre[1] + before_mm[1] * per_mm[1]
    rx, ry = 1.5 * per_mm[0], 1.5 * per_mm[1]
    for sign in (-1, 1):
        drawing.across(x - rx, x + rx, y + sign * ry)
        drawing.down(x + sign * rx, y - ry, y + ry)
    length_mm = math.hypot(*before_mm)
    if length_mm < 3.0:
        return
    drawing.thick_px *= 2
    unit = (before_mm[0] / length_mm, before_mm[1] / length_mm)
    _oblique(drawing, centre, per_mm, ((unit[0] * (length_mm - 1.5), unit[1] * (length_mm - 1.5)), (0.0, 0.0)))
    head_mm = min(2.5, length_mm / 2)
    for turn in (math.radians(30), math.radians(-30)):
        arm = (
            head_mm * (unit[0] * math.cos(turn) - unit[1] * math.sin(turn)),
            head_mm * (unit[0] * math.sin(turn) + unit[1] * math.cos(turn)),
        )
        _oblique(drawing, centre, per_mm, (arm, (0.0, 0.0)))
    drawing.thick_px //= 2


def _oblique(drawing: _Drawing, centre: Point, per_mm: Point, ends_mm: tuple[Point, Point]) -> None:
    """Draw an oblique line as a row of dots of the line's thickness, one for each pixel of its longer way."""
    (x0, y0), (x1, y1) = ((centre[0] + x_mm * per_mm[0], centre[1] + y_mm * per_mm[1]) for x_mm, y_mm in ends_mm)
    count = max(1, math.ceil(max(abs(x1 - x0), abs(y1 - y0))))
    thick = drawing.thick_px
    for i in range(count + 1):
        x, y = x0 + (x1 - x0) * i / count, y0 + (y1 - y0) * i / count
        drawing.add(Rect(nearest(x - thick / 2), nearest(y - thick / 2), thick, thick))
