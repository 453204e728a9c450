"""A panel folder, a screen without a window, and a person at it who photographs."""

from __future__ import annotations

import io
import os
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from groundwork.clock import VirtualClock
from panelwear.byeye.preparation import known_response
from panelwear.camera.shoot_plan import ShootPlan, plan_shoot
from panelwear.camera.shooting import Shooting, ShootJob
from panelwear.folder import checkpoint
from panelwear.folder.checkpoint import Checkpoint
from panelwear.folder.panel import load_panel
from panelwear.run.opening import bench_of
from panelwear.screen.contract import Card, Shown
from panelwear.screen.fake import FakeScreen
from panelwear.screen.page import Page
from panelwear.screen.person import ScreenOperator
from panelwear.screen.terminal import Terminal
from panelwear.upkeep.create import PanelSpec, new_panel
from patterns.frame import Frame
from sequences import shoots

SIZE = (960, 540)
SMALL = b"""name = "small"
description = "Two fields, for tests."
frames = 4
[[shots]]
kind = "dots"
[[shots]]
kind = "black"
[[shots]]
kind = "fields"
cd_m2 = [20, 120]
codes = [82, 182]
[[shots]]
kind = "even-surface"
"""
"""Shots: title-card, dots, black, grey-20cd, grey-120cd, dots-end, even-surface."""
NAMES = ("title-card", "dots", "black", "grey-20cd", "grey-120cd", "dots-end", "even-surface")
READ_S = 1.0
"""So long a person reads a page."""


class StandingClock(VirtualClock):
    """Jumps, and yet is waited on slice by slice: keys arrive at their time."""

    fast = False


class Watched(FakeScreen):
    """Calls the person whenever a page or a frame is on."""

    on_page: Callable[[Page], None] = staticmethod(lambda _: None)
    on_frame: Callable[[Frame], None] = staticmethod(lambda _: None)

    def page(self, page: Page) -> None:
        super().page(page)
        self.on_page(page)

    def show(self, frame: Frame, fade_s: float | None = None, card: Card | None = None) -> Shown:
        shown = super().show(frame, fade_s, card)
        self.on_frame(frame)
        return shown


class Stand:
    """Everything a shoot needs; ``keys`` answers each page by what its title begins with, the first time it is met."""

    def __init__(self, folder: Path, source: bytes = SMALL, *, poses: bool = False, peak_cd_m2: float = 250.0) -> None:
        if not folder.exists():
            new_panel(folder, PanelSpec("harbour-desk", *SIZE, (598.0, 336.0), peak_cd_m2=peak_cd_m2))
        self.clock = StandingClock(datetime(2026, 2, 3, 18, tzinfo=UTC))
        self.screen = Watched(*SIZE, self.clock)
        self.out = io.StringIO()
        end, self._typing = os.pipe()
        self._source = os.fdopen(end, "r", encoding="utf-8")
        terminal = Terminal(self._source, self.out)
        self.bench = bench_of(self.screen, ScreenOperator(self.screen, terminal, self.clock), None)
        self.bench.clock = self.clock
        self.panel = load_panel(folder)
        self.found: Checkpoint = checkpoint.open_or_create(folder, "harbour-desk", 1460, None, self.clock.utc())
        resolver = known_response(self.panel, self.found, lambda _: None)
        self.plan: ShootPlan = plan_shoot(
            self.panel, resolver, "small", source, shoots.parse(source, "small.toml"), poses=poses
        )
        self.keys: dict[str, list[str]] = {}
        self.stands_s: dict[int, float] = {}
        """By the number of the field, how long it is left standing; others as long as is needed."""
        self.alone: list[str] = []
        """What stood alone on the screen, in order: its pattern and level."""
        self.titles: list[str] = []
        self.screen.on_page = self._page
        self.screen.on_frame = self._frame

    def close(self) -> None:
        os.close(self._typing)
        self._source.close()

    def _page(self, page: Page) -> None:
        self.titles.append(page.title)
        planned = next((keys for title, keys in self.keys.items() if page.title.endswith(title) and keys), None)
        self.screen.press(planned.pop(0) if planned else "return", after_s=READ_S)

    def _frame(self, frame: Frame) -> None:
        if frame.pattern == "pause":
            return
        self.alone.append(f"{frame.pattern} {max(frame.fills[-1].codes):g}" if frame.fills else frame.pattern)
        planned = self.keys.get(f"field {len(self.alone)}")
        stands_s = self.stands_s.get(len(self.alone), 60.0)
        self.screen.press(planned.pop(0) if planned else "return", after_s=stands_s)

    def shooting(self, *, unattended: bool = False) -> Shooting:
        return Shooting(self.bench, ShootJob(self.found, self.plan, unattended=unattended))
