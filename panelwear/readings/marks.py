"""``marks.csv``: what the eye found, one row a mark."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from panelwear.readings.columns import Column
from patterns.frame import Rect

Shape = Literal["rect", "line"]
KINDS: tuple[str, ...] = ("band", "line", "blotch", "tint", "pixel fault")
STRENGTHS: tuple[str, ...] = ("just seen", "plain", "distracting")
FILE = "marks.csv"


@dataclass(frozen=True, slots=True)
class MarkShape:
    """A shape on the screen in pixel edges: a rectangle's opposite corners, or a line's two ends."""

    shape: Shape
    x0: int
    y0: int
    x1: int
    y1: int

    @property
    def rect(self) -> Rect:
        """The rectangle it takes up, at least one pixel each way."""
        left, top = min(self.x0, self.x1), min(self.y0, self.y1)
        return Rect(left, top, max(abs(self.x1 - self.x0), 1), max(abs(self.y1 - self.y0), 1))

    def clipped(self, width: int, height: int) -> MarkShape:
        """Return it with both ends on the screen, a rectangle never without a pixel."""
        x0, x1 = (min(max(x, 0), width) for x in (self.x0, self.x1))
        y0, y1 = (min(max(y, 0), height) for y in (self.y0, self.y1))
        if self.shape == "rect":
            x0, x1 = (min(x0, width - 1), x1) if x0 != x1 else (min(x0, width - 1), min(x0, width - 1) + 1)
            y0, y1 = (min(y0, height - 1), y1) if y0 != y1 else (min(y0, height - 1), min(y0, height - 1) + 1)
        return MarkShape(self.shape, x0, y0, x1, y1)

    def boxes(self) -> tuple[tuple[int, int, int, int], ...]:
        """Return the rectangles (x, y, w, h) that outline it; a slanting line is a chain of small ones."""
        rect = self.rect
        if self.shape == "rect" or min(rect.w, rect.h) <= 8:
            return ((rect.x - 2, rect.y - 2, rect.w + 4, rect.h + 4),)
        steps = max(1, min(40, max(rect.w, rect.h) // 24))
        dx, dy = (self.x1 - self.x0) / steps, (self.y1 - self.y0) / steps
        return tuple((round(self.x0 + i * dx) - 3, round(self.y0 + i * dy) - 3, 6, 6) for i in range(steps + 1))


@dataclass(frozen=True, slots=True)
class Mark:
    """One thing seen; field order is column order."""

    mark: Annotated[int, Column("1", "Number of the mark, from 1")]
    session: Annotated[int, Column("1", "Session of the checkpoint it was made in", formerly="sitting")]
    time_utc: Annotated[str, Column("", "When it was made, UTC", datatype="dateTime")]
    field: Annotated[str, Column("", "Name of the field it was seen on")]
    hue: Annotated[str, Column("", "Channels the field drives: grey, red, green or blue")]
    code: Annotated[float, Column("1", "Drive level 0 to 255; a fraction is a spatial mix")]
    level_cd_m2: Annotated[
        float | None, Column("cd/m²", "Luminance of the field through the response; empty for a ramp")
    ]
    level_basis: Annotated[
        str, Column("", "measured-response or assumed-response; empty for a ramp", may_be_empty=True)
    ]
    kind: Annotated[str, Column("", f"One of: {', '.join(KINDS)}")]
    strength: Annotated[str, Column("", f"One of: {', '.join(STRENGTHS)}")]
    shape: Annotated[str, Column("", "rect or line")]
    x0_px: Annotated[int, Column("px", "One corner or end, pixel edges from the left")]
    y0_px: Annotated[int, Column("px", "The same, from the top")]
    x1_px: Annotated[int, Column("px", "The opposite corner or the other end, from the left")]
    y1_px: Annotated[int, Column("px", "The same, from the top")]
    x0_mm: Annotated[float, Column("mm", "x0_px on the active area")]
    y0_mm: Annotated[float, Column("mm", "y0_px on the active area")]
    x1_mm: Annotated[float, Column("mm", "x1_px on the active area")]
    y1_mm: Annotated[float, Column("mm", "y1_px on the active area")]
    blind: Annotated[int, Column("1", "1 when made before earlier marks were shown, else 0")]
    zone: Annotated[str, Column("", "Zone of panel.toml the mark became; empty while it is none", may_be_empty=True)]
    note: Annotated[str, Column("", "What the person noted", may_be_empty=True)]

    @property
    def drawn(self) -> MarkShape:
        """Its shape in pixels."""
        return MarkShape("line" if self.shape == "line" else "rect", self.x0_px, self.y0_px, self.x1_px, self.y1_px)

    @property
    def rect(self) -> Rect:
        """The rectangle it takes up."""
        return self.drawn.rect

    @property
    def name(self) -> str:
        """The zone it became, or ``mark-N``."""
        return self.zone or f"mark-{self.mark}"
