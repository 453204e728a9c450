"""The title card: what a photograph is of, photographed first."""

from __future__ import annotations

from collections.abc import Sequence

from patterns.errors import PatternError
from patterns.fields import make_frame
from patterns.font import ADVANCE_PX, LINE_PX, fitting_scale, text_mask
from patterns.frame import Fill, Frame, Rect
from patterns.parameters import Parameter
from patterns.place import runs
from patterns.registry import Ground, pattern

READABLE_SCALE = 3
"""From so many pixels a dot on, lines are not broken."""


@pattern(
    "title-card",
    "panel, hours of use, date and field name as text, to be photographed first",
    Parameter("panel", "text", "name of the panel", ""),
    Parameter("hours", "text", "hours of use, with the unit", ""),
    Parameter("date", "text", "date of the checkpoint", ""),
    Parameter("field", "text", "name of the field that is photographed next", ""),
    Parameter("note", "text", "one more line", ""),
    default_codes=(80.0, 80.0, 80.0),
)
def title_card(ground: Ground, *, panel: str, hours: str, date: str, field: str, note: str) -> Frame:
    """Write the title card in the middle of the screen.

    Geometry: one line for each text that is given, ``name: text``, left-aligned, in the font's 5 x 9 dots at the
    largest whole scale that leaves 1/8 of the screen free on every side; lines are broken only where they
    could not be read otherwise (under 3 pixels a dot).
    ``lit_share``: the pixels lit. Dim by default (code 80, about 8 % of peak light at gamma 2.2): readable from two
    metres and for a camera, without costing dark adaptation.
    Source: common practice in photography, no source.
    """
    lines = [
        f"{name + ':':<7}{text}"
        for name, text in (("panel", panel), ("hours", hours), ("date", date), ("field", field), ("note", note))
        if text
    ]
    if not lines:
        raise PatternError(f"pattern {ground.pattern}: nothing to write: give panel, hours, date, field or note")
    room = (ground.width * 3 // 4, ground.height * 3 // 4)
    text = broken_to_fit(lines, room)
    scale = fitting_scale(text, *room)
    if scale < 1:
        need = text_mask(text).shape
        raise PatternError(
            f"pattern {ground.pattern}: the text needs {need[1] * 4 // 3 + 1} x {need[0] * 4 // 3 + 1} pixels, this"
            f" screen has {ground.width} x {ground.height}"
        )
    mask = text_mask(text, scale)
    h, w = mask.shape
    rect = Rect((ground.width - w) // 2, (ground.height - h) // 2, w, h)
    fills = tuple(Fill(part, ground.codes) for part in runs(mask, rect.x, rect.y))
    return make_frame(ground, rect, fills, float(mask.sum()) / (ground.width * ground.height), (("text", text),))


def broken_to_fit(lines: Sequence[str], room: tuple[int, int]) -> str:
    """Leave lines whole while they are readable, else break them to the width at which the text can be largest."""
    best = "\n".join(lines)
    best_scale = fitting_scale(best, *room)
    if best_scale >= READABLE_SCALE:
        return best
    for columns in range(12, max(len(line) for line in lines) + 1):
        broken = "\n".join(line[start : start + columns] for line in lines for start in range(0, len(line), columns))
        height = LINE_PX * (broken.count("\n") + 1) - 3
        scale = min(room[0] // (ADVANCE_PX * columns - 1), room[1] // height)
        if scale > best_scale:
            best, best_scale = broken, scale
    return best
