"""A hand for tests of the editor: keys and mouse as events."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from panelwear.folder.checkpoint import open_or_create
from panelwear.readings import records
from panelwear.readings.row import Row
from panelwear.screen.contract import ScreenEvent
from panelwear.upkeep.create import PanelSpec, new_panel
from panelwear.zoning.editor import Editor, begun
from panelwear.zoning.plan import plan_of
from panelwear.zoning.step import step
from patterns.frame import Rect
from sequences.model import Zone
from tests.panelwear.readings.rows import SOME_ROW

PANEL = (1280, 720)
CHART = Zone("chart", Rect(0, 0, 1280, 720), (640.0, 360.0))
BADGE = Zone("badge", Rect(1000, 40, 200, 100), (1050.0, 90.0), "chart")
LIST = Zone("list", Rect(0, 0, 256, 720), (128.0, 360.0), "chart")
ZONES = (CHART, BADGE, LIST)


def no_row(_x: int, _y: int) -> str:
    return ""


def panel_folder(folder: Path, *zones: Zone) -> Path:
    new_panel(folder, PanelSpec("harbour-desk", *PANEL, (596.7, 335.7), zones=zones))
    return folder


def with_readings(folder: Path, *places: str) -> None:
    """Give a panel folder a checkpoint with a reading at each place."""
    found = open_or_create(folder, "harbour-desk", 500, None, datetime(2026, 2, 3, tzinfo=UTC))
    rows = [replace(SOME_ROW, row=n, place=place) for n, place in enumerate(places, 1)]
    found.readings_path.write_bytes(records.header(Row) + b"".join(map(records.record_line, rows)))


class Hand:
    """Holds a state and does things to it."""

    def __init__(self, *zones: Zone, panel: tuple[int, int] = PANEL) -> None:
        self.state: Editor = begun(plan_of(zones), panel)

    def take(self, *events: ScreenEvent) -> Hand:
        for event in events:
            self.state = step(self.state, event, no_row)
        return self

    def key(self, *keys: str, shift: bool = False, control: bool = False) -> Hand:
        return self.take(*(ScreenEvent("key", 0.0, key=key, shift=shift, control=control) for key in keys))

    def text(self, word: str) -> Hand:
        for character in word:
            key = "space" if character == " " else character.lower()
            self.take(ScreenEvent("key", 0.0, key=key), ScreenEvent("text", 0.0, text=character))
        return self

    def hold(self, start: tuple[int, int], *ways: tuple[int, int], button: int = 1) -> Hand:
        """Press, and move, without letting go."""
        self.take(ScreenEvent("pointer-down", 0.0, x=start[0], y=start[1], button=button))
        return self.take(*(ScreenEvent("pointer-move", 0.0, x=x, y=y) for x, y in ways))

    def drag(self, start: tuple[int, int], *ways: tuple[int, int], button: int = 1) -> Hand:
        self.hold(start, *ways, button=button)
        x, y = ways[-1]
        return self.take(ScreenEvent("pointer-up", 0.0, x=x, y=y, button=button))

    def click(self, x: int, y: int) -> Hand:
        return self.drag((x, y), (x, y))

    @property
    def rects(self) -> dict[str, tuple[int, int, int, int]]:
        return {z.name: (z.rect.x, z.rect.y, z.rect.w, z.rect.h) for z in self.state.plan.zones}

    @property
    def chosen(self) -> str:
        return "" if self.state.plan.one is None else self.state.plan.one.name

    @property
    def references(self) -> dict[str, str]:
        found = {z.name: self.state.plan.by_id(z.reference) for z in self.state.plan.zones}
        return {name: "" if one is None else one.name for name, one in found.items()}
