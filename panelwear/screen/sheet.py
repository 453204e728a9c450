"""How a page is drawn: a title over a rule, one column of text and rows, keys in columns along the foot.

Everything is measured before anything is drawn, so nothing lies over anything else: what does not fit is broken,
the text gets a little smaller where that makes all of it fit, never smaller than the eye needs, and a list that is too
long for that shows a part of itself and says how much more there is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from panelwear.screen.blocks import Block, Rows, bar_block, buttons_block, words_block
from panelwear.screen.governor import Viewing
from panelwear.screen.letters import cut, wrap
from panelwear.screen.listing import height_of, seen
from panelwear.screen.page import Bar, Buttons, Drawing, Item, Items, Page, Words
from panelwear.screen.palette import (
    APART,
    BREAK,
    CLOSE,
    MARGIN,
    MEASURE,
    TIGHT,
    least_text_px,
    page_text_px,
    palette_for,
)
from panelwear.screen.pen import Pen, Sizes
from panelwear.screen.rows import Columns, columns_of, row_block
from panelwear.screen.sketch import drawing_block

LETTER = 0.53
"""Mean width of a letter with its space, of the size: from a page of our own text."""
ROWS_SEEN = 10
"""Rows of a long list that are seen at the least; with fewer the text is made smaller."""
SMALLER = ((1.0, 1.0), (0.9, 0.85), (0.8, 0.7), (0.72, 0.5), (0.72, 0.35), (0.64, 0.4))
"""Sizes and spaces that are tried one after another, of the usual ones."""
KEY_COLUMNS = 3
FORM_MEASURE = 90
"""Letters in a row of a form: label, value and mark are read one by one, no line is lost."""


class Sheet:
    """Draws one page and finds where its rows stand."""

    def __init__(self, surface: Any, page: Page, viewing: Viewing) -> None:
        self._surface = surface
        self._page = page
        self._viewing = viewing

    def draw(self) -> Rows:
        """Draw all of it; returns the areas of rows and buttons by id."""
        laid = self._fitting()
        laid.pen.surface.fill(laid.pen.codes("ground"))
        laid.draw_title()
        laid.draw_foot()
        return laid.draw_body()

    @property
    def shows_all(self) -> bool:
        """Whether nothing of the page is left out: no part of a list, no end of a text."""
        return self._fitting().whole

    def _fitting(self) -> _Laid:
        """Lay the page out at the largest size at which it fits, or at which a useful part of its list is seen."""
        size, least = page_text_px(self._viewing), least_text_px(self._viewing)
        text = [max(round(size * smaller), min(size, least)) for smaller, _ in SMALLER]
        laid = []
        for one, (_, density) in zip(text, SMALLER, strict=True):
            laid.append(self._laid(Sizes(one, least, density)))
            if laid[-1].whole:
                return laid[-1]
        return next((one for one in laid if one.useful), laid[-1])

    def _laid(self, sizes: Sizes) -> _Laid:
        pen = Pen(self._surface, palette_for(self._page.room), self._viewing.peak_cd_m2, sizes)
        return _Laid(pen, self._page, self._surface.get_size())


@dataclass(frozen=True, slots=True)
class _Parts:
    """A page's blocks: what stands above its lists, the lists with what lies between them, what stands below."""

    above: tuple[Block, ...]
    lists: tuple[Block, ...]
    below: tuple[Block, ...]


class _Laid:
    """A page laid out at one size."""

    def __init__(self, pen: Pen, page: Page, screen: tuple[int, int]) -> None:
        self.pen = pen
        self._page = page
        self._screen = screen
        margin = min(pen.apart(MARGIN), round(screen[1] * 0.09))
        brief = any(isinstance(part, Items) and part.brief for part in page.parts)
        measure = FORM_MEASURE if brief else MEASURE
        self._wide = min(round(pen.size * LETTER * measure), screen[0] - 2 * pen.px(MARGIN))
        self._x = (screen[0] - self._wide) // 2
        self._top = margin
        self._title = wrap(page.title, pen.title, self._wide)
        self._keys = _key_grid(pen, page.keys, self._wide)
        foot_h = _grid_rows(self._keys) * pen.small.line_px + (pen.px(CLOSE) if page.keys else 0)
        self._foot_y = screen[1] - margin - foot_h
        self._body_y = self._top + len(self._title) * pen.title.line_px + pen.apart(CLOSE) + pen.hair + pen.apart(APART)
        self._room = self._foot_y - pen.px(CLOSE if page.keys else 0) - self._body_y
        self._note_h = self._noted_h = 0
        self._parts = self._blocks()

    def _blocks(self) -> _Parts:
        pen, page = self.pen, self._page
        columns = columns_of(pen, [i for part in page.parts if isinstance(part, Items) for i in part.items], self._wide)
        leads = [pen.bold.width(part.lead) for part in page.parts if isinstance(part, Words) and part.lead]
        lead_w = min(max(leads) + pen.px(APART), self._wide // 3) if leads else 0
        at_lists = [n for n, part in enumerate(page.parts) if isinstance(part, Items)]
        first, last = (at_lists[0], at_lists[-1]) if at_lists else (len(page.parts), len(page.parts))
        runs: tuple[list[Block], list[Block], list[Block]] = ([], [], [])
        for n, part in enumerate(page.parts):
            into = runs[0 if n < first else 1 if n <= last else 2]
            match part:
                case Words():
                    into.append(words_block(pen, part, self._wide, lead_w))
                case Items(items, brief):
                    rows = [self._row(item, columns, brief=brief) for item in items]
                    # A list is set off from what stands above it; a heading belongs to it.
                    headed = n > 0 and isinstance(above := page.parts[n - 1], Words) and above.tone == "soft"
                    first_gap = TIGHT if headed else APART
                    into += [Block(r.height, r.draw, r.ids, first_gap if k == 0 else r.gap) for k, r in enumerate(rows)]
                case Buttons():
                    into.append(buttons_block(pen, part, page.chosen, self._wide))
                case Bar():
                    into.append(bar_block(pen, part, self._wide))
                case Drawing():
                    into.append(drawing_block(pen, part, self._wide, self._screen[1], round(self._room * 0.7)))
        return _Parts(*map(tuple, runs))

    def _row(self, item: Item, columns: Columns, *, brief: bool) -> Block:
        """Lay out a row; of a brief list only the chosen one has its note."""
        chosen = item.id == self._page.chosen
        block = row_block(self.pen, item, columns, chosen=chosen)
        if not brief or not item.note:
            return block
        without = row_block(self.pen, replace(item, note=""), columns, chosen=chosen)
        self._note_h = max(self._note_h, block.height - without.height)
        self._noted_h = block.height - without.height if chosen else self._noted_h
        return block if chosen else without

    @property
    def _lists_h(self) -> int:
        """Height of the lists with the longest note there is: the text keeps its size whichever row is chosen."""
        return height_of(self.pen, self._parts.lists) + self._note_h - self._noted_h

    @property
    def _around_lists(self) -> int:
        """Pixels that everything but the lists takes."""
        pen, parts = self.pen, self._parts
        gap = pen.apart(parts.lists[0].gap) if parts.above and parts.lists else 0
        below = height_of(pen, parts.below, first_gap=bool(parts.above or parts.lists)) if parts.below else 0
        return height_of(pen, parts.above) + gap + below

    @property
    def whole(self) -> bool:
        """Whether all of it is seen."""
        return self._lists_h <= self._room - self._around_lists

    @property
    def useful(self) -> bool:
        """Whether enough of its lists is seen to find the way in them."""
        rows = [block for block in self._parts.lists if block.ids]
        spare = self._note_h - self._noted_h
        wanted = height_of(self.pen, rows[:ROWS_SEEN]) + spare + 2 * self.pen.small.line_px
        return bool(rows) and wanted <= self._room - self._around_lists

    def draw_title(self) -> None:
        """Draw the title over a rule that begins with a heavy piece."""
        pen, y = self.pen, self._top
        for line in self._title:
            pen.write(line, (self._x, y), "ink", pen.title)
            y += pen.title.line_px
        y += pen.apart(CLOSE)
        pen.fill("line", (self._x, y, self._wide, pen.hair))
        pen.fill("soft", (self._x, y - pen.hair, pen.px(BREAK), 3 * pen.hair))

    def draw_body(self) -> Rows:
        """Draw all parts; returns the areas of rows and buttons by id."""
        pen, parts = self.pen, self._parts
        list_room = self._room - self._around_lists
        listed = seen(pen, parts.lists, list_room, self._page.chosen)
        more = bool(listed.above or listed.below)
        body = (0, self._body_y - pen.px(TIGHT), self._screen[0], self._room + pen.px(CLOSE))
        pen.surface.set_clip(body)
        try:
            start = y = self._body_y - self._lifted(list_room)
            rows, y = self._run(parts.above, y, start)
            if more:
                y = self._more(y + pen.px(TIGHT if y > start else 0), "↑", "above", listed.above)
            found, y = self._run(listed.blocks, y, y if more else start)
            if more:
                y = self._more(y, "↓", "below", listed.below)
            rest, _ = self._run(parts.below, y, start)
            return rows | found | rest
        finally:
            pen.surface.set_clip(None)

    def _lifted(self, list_room: int) -> int:
        """How far the body is moved up so that a chosen row that would lie under the foot is seen."""
        pen, parts = self.pen, self._parts
        over = self._around_lists - self._room
        if over <= 0 or list_room >= 0 or any(self._page.chosen in block.ids for block in parts.above):
            return 0
        chosen_below = any(self._page.chosen in block.ids for block in (*parts.lists, *parts.below))
        return over + min(height_of(pen, parts.lists), self._room // 2) if chosen_below else 0

    def _run(self, blocks: Sequence[Block], y: int, start: int) -> tuple[Rows, int]:
        """Draw blocks under each other; the space above one is left out at ``start``."""
        rows: Rows = {}
        for block in blocks:
            y += self.pen.apart(block.gap) if y > start else 0
            rows |= block.draw(self._x, y)
            y += block.height
        return rows, y

    def _more(self, y: int, arrow: str, where: str, count: int) -> int:
        """Say how many rows there are beyond what is seen; the line is there without any, so that nothing moves."""
        if count:
            self.pen.write(f"{arrow}  {count} more {where}", (self._x, y), "soft", self.pen.small)
        return y + self.pen.small.line_px

    def draw_foot(self) -> None:
        """Draw the keys under a rule, in columns."""
        pen = self.pen
        if not self._keys:
            return
        pen.fill("line", (self._x, self._foot_y, self._wide, pen.hair))
        x = self._x
        for column in self._keys:
            y = self._foot_y + pen.px(CLOSE)
            for key, does in column.pairs:
                pen.write(key, (x, y), "soft", pen.small_bold)
                does_w = self._x + self._wide - x - column.key_w
                pen.write(cut(does, pen.small, does_w), (x + column.key_w, y), "soft", pen.small)
                y += pen.small.line_px
            x += column.wide


@dataclass(frozen=True, slots=True)
class _KeyColumn:
    pairs: tuple[tuple[str, str], ...]
    key_w: int
    wide: int


def _key_grid(pen: Pen, keys: tuple[tuple[str, str], ...], wide: int) -> list[_KeyColumn]:
    """Part keys into as many columns as fit; in each, what they do begins at one edge."""
    for count in range(min(KEY_COLUMNS, len(keys)), 0, -1):
        rows = -(-len(keys) // count)
        columns = [_key_column(pen, keys[at : at + rows]) for at in range(0, len(keys), rows)]
        if count == 1 or sum(column.wide for column in columns) - pen.px(BREAK) <= wide:
            return columns
    return []


def _key_column(pen: Pen, pairs: tuple[tuple[str, str], ...]) -> _KeyColumn:
    key_w = max(pen.small_bold.width(key) for key, _ in pairs) + pen.px(0.7)
    return _KeyColumn(pairs, key_w, key_w + max(pen.small.width(does) for _, does in pairs) + pen.px(BREAK))


def _grid_rows(columns: Sequence[_KeyColumn]) -> int:
    return max((len(column.pairs) for column in columns), default=0)
