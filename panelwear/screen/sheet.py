"""How a page is drawn: one column of text, rows under each other, keys along the foot."""

from __future__ import annotations

from typing import Any

from panelwear.screen.card import Box as Area
from panelwear.screen.card import _font, _frame, codes_for, wrap
from panelwear.screen.page import Bar, Buttons, Drawing, Item, Items, Page, Words

DARK_INK_CD_M2 = 1.0
LIT_INK_CD_M2 = 60.0
SOFT = 0.5


class Sheet:
    """Draws one page and remembers where its rows stand."""

    def __init__(self, surface: Any, page: Page, peak_cd_m2: float) -> None:
        self.rows: dict[str, Area] = {}
        self._surface = surface
        self._page = page
        ink = DARK_INK_CD_M2 if page.room == "dark" else LIT_INK_CD_M2
        self._ink = codes_for(ink, peak_cd_m2)
        self._soft = codes_for(ink * SOFT, peak_cd_m2)
        self._size = max(16, round(min(surface.get_height() / 32, surface.get_width() / 48)))
        self._x = round(surface.get_width() * 0.12)
        self._y = round(surface.get_height() * 0.08)
        self._wide = round(surface.get_width() * 0.76)

    def draw(self) -> dict[str, Area]:
        """Draw all of it; returns the boxes of rows and buttons by id."""
        self._surface.fill((0, 0, 0))
        self._text(self._page.title, self._ink, 1.5)
        self._y += self._size
        for part in self._page.parts:
            match part:
                case Words(text, tone):
                    self._text(text, self._soft if tone == "soft" else self._ink)
                case Items(items):
                    for item in items:
                        self._row(item)
                case Buttons(items):
                    for item in items:
                        self._row(item)
                case Bar(share):
                    self._surface.fill(self._soft, (self._x, self._y, round(self._wide * share), 3))
                case Drawing():
                    pass
            self._y += self._size // 2
        for key, does in self._page.keys:
            self._text(f"{key}   {does}", self._soft)
        return self.rows

    def _text(self, text: str, ink: tuple[int, int, int], scale: float = 1.0) -> None:
        font = _font(round(self._size * scale))
        for line in wrap(text, font, self._wide):
            self._surface.blit(font.render(line, True, ink), (self._x, self._y))
            self._y += font.get_linesize()

    def _row(self, item: Item) -> None:
        top = self._y
        caret = "_" if item.entry and item.id == self._page.chosen else ""
        self._text(f"{item.label}   {item.value}{caret}   {item.mark}", self._ink if item.enabled else self._soft)
        for line in (item.note, item.fault):
            if line:
                self._text(line, self._soft)
        box = (self._x - 8, top - 2, self._wide + 16, self._y - top + 4)
        self.rows[item.id] = box
        if item.id == self._page.chosen:
            _frame(self._surface, box, self._soft, 1)
