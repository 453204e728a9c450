"""The rows of a page: labels and values in two columns, a mark at the end, notes and faults below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from panelwear.screen.blocks import Block, Rows, lines_of
from panelwear.screen.letters import cut, cut_before, wrap
from panelwear.screen.page import Item
from panelwear.screen.palette import CLOSE, TIGHT, Role
from panelwear.screen.pen import Area, Pen

LABELS = 0.46
"""Largest share of the width that labels take beside values."""
INSET = 0.8
"""Space at the left of a row in which the bar of the chosen one stands, in sizes of the text."""


@dataclass(frozen=True, slots=True)
class Columns:
    """Where labels, values and marks stand, measured from the text's left edge; the same for all rows of a page."""

    wide: int
    value_x: int
    """0: no row has a value, and labels take all of it."""
    mark_w: int

    @property
    def label_w(self) -> int:
        """Pixels for a label beside a value."""
        return self.value_x or self.wide - self.mark_w

    @property
    def value_w(self) -> int:
        """Pixels for a value."""
        return self.wide - self.value_x - self.mark_w


def columns_of(pen: Pen, items: Sequence[Item], wide: int) -> Columns:
    """Find the columns of all rows of a page."""
    marks = max((pen.small_bold.width(item.mark) for item in items if item.mark), default=0)
    mark_w = min(marks, wide // 3) + pen.px(1) if marks else 0
    with_value = [item for item in items if item.value or item.entry]
    if not with_value:
        return Columns(wide, 0, mark_w)
    gap = pen.px(1.4)
    widest = max(pen.plain.width(item.label) for item in with_value) + gap
    return Columns(wide, min(widest, round(wide * LABELS)), mark_w)


@dataclass(frozen=True, slots=True)
class _Laid:
    """One row as its texts are broken."""

    label: list[str]
    value: list[str]
    note: list[str]
    fault: list[str]


def _lay(pen: Pen, item: Item, columns: Columns, *, chosen: bool) -> _Laid:
    beside = columns.value_x > 0 and bool(item.value or item.entry)
    label_w = columns.label_w - pen.px(CLOSE) if beside else columns.wide - columns.mark_w
    label = wrap(item.label, pen.plain, label_w) if item.label else []
    if item.entry:
        fitted = cut_before if chosen else cut
        value = [fitted(item.value, pen.plain, columns.value_w - pen.px(0.8))]
    else:
        value = wrap(item.value, pen.plain, columns.value_w) if item.value else []
    under = columns.wide - (columns.value_x if beside else 0)
    note = wrap(item.note, pen.small, under) if item.note else []
    fault = wrap(item.fault, pen.small_bold, under - pen.px(0.8)) if item.fault else []
    return _Laid(label, value, note, fault)


def row_block(pen: Pen, item: Item, columns: Columns, *, chosen: bool) -> Block:
    """Lay out one row."""
    laid = _lay(pen, item, columns, chosen=chosen)
    pad = pen.apart(TIGHT)
    first = max(len(laid.label), len(laid.value), 1) * pen.plain.line_px
    below = (len(laid.note) + len(laid.fault)) * pen.small.line_px
    height = first + below + 2 * pad

    def draw(x: int, y: int) -> Rows:
        inset = pen.px(INSET)
        area = (x - inset, y, columns.wide + inset + pen.px(CLOSE), height)
        if chosen:
            pen.fill("lifted", area)
            pen.fill("accent", (area[0], y, max(3, pen.px(0.22)), height))
        _draw(pen, item, laid, columns, (x, y + pad), chosen=chosen)
        return {item.id: area}

    return Block(height, draw, (item.id,), gap=0.08)


def _draw(pen: Pen, item: Item, laid: _Laid, columns: Columns, at: tuple[int, int], *, chosen: bool) -> None:
    x, y = at
    ink: Role = "ink" if item.enabled else "soft"
    beside = columns.value_x > 0 and bool(item.value or item.entry)
    value_x = x + columns.value_x if beside else x
    lines_of(pen, laid.label, (x, y), ink, pen.plain)
    if item.entry:
        _entry_box(pen, (value_x - pen.px(0.4), y - pen.hair, columns.value_w, pen.plain.line_px), chosen=chosen)
    lines_of(pen, laid.value, (value_x, y), ink, pen.plain)
    if item.entry and chosen:
        caret_x = value_x + pen.plain.width(laid.value[0] if laid.value else "") + pen.hair
        pen.fill("ink", (caret_x, y + pen.px(0.22), max(2, pen.hair * 2), pen.plain.line_px - pen.px(0.44)))
    if item.mark:
        mark = cut(item.mark, pen.small_bold, columns.mark_w - pen.px(0.4))
        down = (pen.plain.line_px - pen.small.line_px) // 2
        pen.write(mark, (x + columns.wide - pen.small_bold.width(mark), y + down), ink, pen.small_bold)
    y += max(len(laid.label), len(laid.value), 1) * pen.plain.line_px
    y = lines_of(pen, laid.note, (value_x, y), "soft", pen.small)
    if laid.fault:
        pen.write("!", (value_x, y), "ink", pen.small_bold)
        lines_of(pen, laid.fault, (value_x + pen.px(0.8), y), "ink", pen.small_bold)


def _entry_box(pen: Pen, area: Area, *, chosen: bool) -> None:
    """Draw where something is typed: a frame while it is chosen, else a line under it."""
    x, y, w, h = area
    if chosen:
        pen.fill("ground", area)
        pen.frame("edge", area)
    else:
        pen.fill("line", (x, y + h - pen.hair, w, pen.hair))
