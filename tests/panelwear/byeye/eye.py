"""An eye before a fake screen: looks at the pixels really there, through wear that is planted, and presses keys."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from random import Random

import numpy as np

from groundwork.clock import Clock, VirtualClock
from panelwear.byeye.look_session import LookJob, LookSession
from panelwear.byeye.walk_fields import FieldFrames, WalkField
from panelwear.folder import checkpoint
from panelwear.folder.panel import load_panel
from panelwear.panel.assumed import assumed_response
from panelwear.panel.resolve import LevelResolver
from panelwear.screen.bench import Bench
from panelwear.screen.contract import ScreenEvent
from panelwear.screen.fake import FakeScreen
from panelwear.screen.operator import Inquiry, Progress, Question
from panelwear.screen.page import Page
from panelwear.upkeep.create import PanelSpec, new_panel
from patterns.frame import Rect
from patterns.raster import raster
from sequences import expand, reader
from sequences.model import Place, Zone

WIDTH, HEIGHT = 640, 400
CHART = Zone("chart", Rect(0, 0, WIDTH, HEIGHT), (320.0, 200.0))
BADGE = Zone("clock-badge", Rect(64, 64, 128, 64), (128.0, 96.0), "chart")
JUDGING_S = 0.7
"""Telling brighter from darker takes longer than turning on."""
REACTION_S = 0.1
"""No eye and hand are quicker than this after a picture."""
Wear = Callable[[float], float]
"""Contrast of the worn zone at a time of the monotonic clock."""


class Quiet:
    """An operator who takes every default and remembers what was said."""

    def __init__(self) -> None:
        self.told: list[str] = []
        self.bells = 0

    def tell(self, text: str) -> None:
        self.told.append(text)

    def ask(self, question: Question) -> str:
        return question.default

    def ask_all(self, inquiry: Inquiry) -> dict[str, str]:
        return {question.key: self.ask(question) for question in inquiry.questions}

    def read_page(self, page: Page) -> None:
        self.tell(page.title)

    def put_probe(self, place: Place, text: str, watch: object = None) -> None:
        self.tell(text)

    def go_on(self, text: str, unheard_s: float = 0.0, watch: object = None, page: Page | None = None) -> None:
        self.tell(text)

    def choose(self, page: Page, most_s: float = 0.0) -> str:
        self.tell(page.title)
        return page.chosen

    def progress(self, progress: Progress) -> None:
        self.tell(progress.what)

    def bell(self) -> None:
        self.bells += 1


class EyeScreen(FakeScreen):
    """A fake screen with an eye before it that matches whatever correction is laid on."""

    def __init__(self, clock: Clock, worn: Rect, wear: Wear, *, seed: int = 1, spread: float = 0.001) -> None:
        super().__init__(WIDTH, HEIGHT, clock)
        self.worn = worn
        self.wear = wear
        self.threshold = 0.003
        self.awake = False
        """Set when a measurement begins: before that, keys are the test's."""
        self.mode = "adjust"
        self._spread = spread
        self._random = Random(seed)
        self._noise = 0.0
        self._turned = False
        self._eye_clock = clock
        gamma = np.arange(256, dtype=float)
        self._light = (gamma / 255) ** 2.2

    def seen(self) -> tuple[Rect, float] | None:
        """Return the judged place and its contrast as light, wear included; ``None`` without a correction."""
        places = [value for key, value in self.frame_now.shape if key == "correction"]
        if not places:
            return None
        x, y, w, h = (int(part) for part in str(places[-1]).split())
        channel = int(np.argmax(self.frame_now.fills[0].codes))
        light = self._light[raster(self.frame_now)[:, :, channel]]
        # Eight pixels in from the border, where the soft edge does not reach; the ground is the lower right corner.
        inset = 8 if min(w, h) > 24 else 0
        inside = light[y + inset : y + h - inset, x + inset : x + w - inset].mean()
        ground = light[-16:, -16:].mean()
        worn = self.wear(self._eye_clock.monotonic_s()) if (x, y) == (self.worn.x, self.worn.y) else 0.0
        return Rect(x, y, w, h), float((1 + worn) * inside / ground - 1)

    def poll(self) -> tuple[ScreenEvent, ...]:
        """Deliver what the test queued, else what the eye wants."""
        events = super().poll()
        early = self._eye_clock.monotonic_s() - self.changed_at_s < (JUDGING_S if self.mode == "choose" else REACTION_S)
        if events or early or not self.awake or self.card_now is not None or self.outlines_now:
            return events
        found = self.seen()
        if found is None:
            return ()
        contrast = found[1] + self._noise
        if self.mode == "detect":
            return self._detect(*found)
        if self.mode == "choose":
            self._noise = self._random.gauss(0, self._spread)
            return self._key("up" if contrast > 0 else "down")
        if self._turned and abs(contrast) <= self.threshold:
            self._turned, self._noise = False, self._random.gauss(0, self._spread)
            return self._key("return")
        self._turned = True
        return self._key("down" if contrast > 0 else "up")

    def _detect(self, place: Rect, contrast: float) -> tuple[ScreenEvent, ...]:
        """Say on which half something is; below the threshold it is a guess (Weibull, slope 3.5)."""
        found = self._random.random() < 1 - math.exp(-((abs(contrast) / self.threshold) ** 3.5))
        right = "left" if place.centre[0] < WIDTH / 2 else "right"
        return self._key(right if found else self._random.choice(("left", "right")))

    def _key(self, key: str) -> tuple[ScreenEvent, ...]:
        return (ScreenEvent("key", self._eye_clock.monotonic_s(), key=key),)


def look_session(
    folder: Path,
    screen: FakeScreen,
    clock: VirtualClock,
    *,
    hours: float = 1460.0,
    zones: tuple[Zone, ...] = (CHART, BADGE),
) -> LookSession:
    """Make a panel folder (invented), open a checkpoint and begin a by-eye session."""
    if not folder.exists():
        spec = PanelSpec("harbour-desk", WIDTH, HEIGHT, (320.0, 200.0), peak_cd_m2=250.0, zones=zones)
        new_panel(folder, spec)
    panel = load_panel(folder)
    steps = expand.expand(reader.parse(reader.find("by-eye").read_bytes(), "by-eye"), panel.facts(), 1)
    found = checkpoint.open_or_create(folder, panel.name, hours, None, clock.utc())
    session = found.begin_session(sequence="by-eye", source=b"x = 1\n", seed=5, now=clock.utc(), facts={"kind": "look"})
    resolver = LevelResolver(assumed_response(panel.assumed_response))
    job = LookJob(panel, found, steps, resolver, session["number"], seed=5, adapt_min=0.0)
    return LookSession(Bench(screen, clock, Quiet()), job)


def mid_grey(fields: FieldFrames) -> WalkField:
    """Return a flat field whose light can go both ways."""
    assert fields.width == WIDTH
    return WalkField("grey/c128", "grey", 128.0)


def clock() -> VirtualClock:
    return VirtualClock(datetime(2026, 2, 3, 20, 0, tzinfo=UTC))


def play(screen: FakeScreen, *keys: str) -> None:
    """Queue keys a second apart, so that each finds the state the last one made."""
    for number, key in enumerate(keys):
        screen.press(key, after_s=1.0 + number)
