"""Parts of a page as blocks: each knows its height before it is drawn, and where its rows stand afterwards."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from panelwear.screen.letters import Face, cut, wrap
from panelwear.screen.page import Bar, Buttons, Item, Words
from panelwear.screen.palette import APART, BREAK, CLOSE, TIGHT, Role
from panelwear.screen.pen import Area, Pen

Rows = dict[str, Area]


@dataclass(frozen=True, slots=True)
class Block:
    """Something of a page that is drawn in one piece."""

    height: int
    draw: Callable[[int, int], Rows]
    """Draws with its upper left corner at a pixel; returns the areas of the rows in it by id."""
    ids: tuple[str, ...] = ()
    gap: float = APART
    """Space above it, in sizes of the text."""
    leads: bool = False
    """Whether it belongs to what stands below it, as a heading does."""


def lines_of(pen: Pen, lines: list[str], at: tuple[int, int], role: Role, face: Face) -> int:
    """Set lines under each other; returns the pixel under the last one."""
    x, y = at
    for line in lines:
        pen.write(line, (x, y), role, face)
        y += face.line_px
    return y


def words_block(pen: Pen, words: Words, wide: int, lead_w: int = 0) -> Block:
    """Lay out a paragraph; a warning stands behind a bar and an exclamation mark, never told by colour alone."""
    warns = words.tone == "warning"
    face = pen.bold if words.tone in {"strong", "warning"} else pen.plain
    inset = pen.px(APART * 1.1) if warns else lead_w if words.lead else 0
    lines = wrap(words.text, face, wide - inset)
    height = face.line_px * len(lines)

    def draw(x: int, y: int) -> Rows:
        if warns:
            pen.fill("ink", (x, y + pen.px(0.15), pen.hair * 2, height - pen.px(0.3)))
            pen.write("!", (x + pen.px(0.45), y), "ink", pen.bold)
        elif words.lead:
            pen.write(cut(words.lead, pen.bold, lead_w - pen.px(CLOSE)), (x, y), "ink", pen.bold)
        lines_of(pen, lines, (x + inset, y), "soft" if words.tone == "soft" else "ink", face)
        return {}

    return Block(height, draw, gap=APART, leads=True)


def bar_block(pen: Pen, bar: Bar, wide: int) -> Block:
    """Lay out how far something is: a thin track with a thicker piece that is done."""
    height = max(3, pen.px(0.3))

    def draw(x: int, y: int) -> Rows:
        pen.fill("line", (x, y + height // 2, wide, pen.hair))
        pen.fill("ink", (x, y, round(wide * min(1.0, max(0.0, bar.share))), height))
        return {}

    return Block(height, draw)


@dataclass(frozen=True, slots=True)
class _Button:
    item: Item
    x: int
    line: int
    """Which line of buttons it stands in."""
    w: int


def buttons_block(pen: Pen, buttons: Buttons, chosen: str, wide: int) -> Block:
    """Lay out buttons beside each other, broken where they do not fit, and under them the note of the chosen one."""
    pad, high = pen.px(0.75), pen.plain.line_px + pen.px(CLOSE)
    placed: list[_Button] = []
    x = line = 0
    for item in buttons.items:
        w = min(wide, 2 * pad + _button_width(pen, item))
        if x and x + w > wide:
            x, line = 0, line + 1
        placed.append(_Button(item, x, line, w))
        x += w + pen.px(CLOSE * 1.4)
    step = high + pen.px(CLOSE)
    notes = {item.id: wrap(item.note, pen.small, wide) for item in buttons.items if item.note}
    below = max((len(lines) for lines in notes.values()), default=0) * pen.small.line_px

    def draw(x: int, y: int) -> Rows:
        rows = {}
        for one in placed:
            area = (x + one.x, y + one.line * step, one.w, high)
            _draw_button(pen, one.item, area, pad, chosen=one.item.id == chosen)
            rows[one.item.id] = area
        lines_of(pen, notes.get(chosen, []), (x, y + (line + 1) * step - pen.px(TIGHT)), "soft", pen.small)
        return rows

    ids = tuple(item.id for item in buttons.items)
    return Block((line + 1) * step - pen.px(CLOSE) + (below + pen.px(CLOSE) if below else 0), draw, ids, gap=BREAK)


def _button_width(pen: Pen, item: Item) -> int:
    value = pen.small.width(f"{item.value}") + pen.px(0.6) if item.value else 0
    return pen.plain.width(item.label) + value


def _draw_button(pen: Pen, item: Item, area: Area, pad: int, *, chosen: bool) -> None:
    x, y, w, h = area
    if chosen:
        pen.fill("lifted", area)
    pen.frame("edge" if chosen else "line", area)
    if chosen:
        pen.fill("accent", (x, y, max(3, pen.px(0.22)), h))
    top = y + (h - pen.plain.line_px) // 2
    label = cut(item.label, pen.plain, w - 2 * pad)
    pen.write(label, (x + pad, top), "ink" if item.enabled else "soft", pen.plain)
    if item.value:
        value_x = x + w - pad - pen.small.width(item.value)
        pen.write(item.value, (value_x, top + (pen.plain.line_px - pen.small.line_px) // 2), "soft", pen.small)
