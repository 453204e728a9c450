"""A probe that sees the glow of the middle of the screen, and steps to run in front of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np

from groundwork.clock import VirtualClock
from panelwear.readings.row import Row
from panelwear.screen.bench import Bench
from panelwear.screen.fake import FakeScreen
from panelwear.simulation.scripted import ScriptedOperator
from patterns.frame import Picture
from probe_io.reading import Idle, ProbeIdentity, Reading
from sequences.model import CloseLook, Level, Patch, PutProbe, Read, Reads, Step
from tests.panelwear.run.bench import CENTRE

PEAK, BLACK, GAMMA = 240.0, 0.02, 2.4


class PowerCutError(Exception):
    """Stands for a kill."""


class GlowProbe:
    """Sees the mean light of the middle of the screen: a power law on black, scaled by whatever the panel does."""

    def __init__(
        self,
        screen: FakeScreen,
        clock: VirtualClock,
        *,
        scatter: float = 0.0,
        panel: Callable[[float, float], float] = lambda _now, _standing: 1.0,
        cut_at: int = 0,
    ) -> None:
        self.screen, self.clock, self.scatter, self.panel, self.cut_at = screen, clock, scatter, panel, cut_at
        self.rng = np.random.default_rng(1)
        self.count = 0

    def open(self) -> ProbeIdentity:
        return ProbeIdentity("glow", "none", serial="42")

    def light(self, picture: Picture) -> float:
        height, width = picture.shape[:2]
        spot = picture[height // 2 - 32 : height // 2 + 32, width // 2 - 32 : width // 2 + 32] / 255.0
        shares = np.array([0.22, 0.70, 0.08])
        return float(BLACK + (PEAK - BLACK) * (spot**GAMMA @ shares).mean())

    def measure(self, integration_s: float | None = None, idle: Idle | None = None) -> Reading:
        self.count += 1
        if self.count == self.cut_at:
            raise PowerCutError
        now = self.clock.monotonic_s()
        standing = now - self.screen.note.shown[-1].at_s
        Y = self.light(self.screen.pixels()) * self.panel(now - 1000.0, standing)
        Y *= 1 + self.rng.normal(0, self.scatter) if self.scatter else 1.0
        Y = float(Y)
        self.clock.sleep(integration_s or 0.5)
        return Reading(0.95 * Y, Y, 1.09 * Y, integration_s or 0.5, now, 0.5)

    def close(self) -> None:
        pass


def glow_bench(**kinds: object) -> Bench:
    clock = VirtualClock(datetime(2026, 2, 3, 20, tzinfo=UTC))
    screen = FakeScreen(320, 200, clock)
    return Bench(screen, clock, ScriptedOperator({"probe_off": "leave"}), GlowProbe(screen, clock, **kinds))  # type: ignore[arg-type]


def a_patch(group: str, hue: str, level: Level, **more: object) -> Patch:
    made = Patch(group, CENTRE, hue, level, "full", group, "field", settle_s=1.0, reads=Reads(3))  # type: ignore[arg-type]
    return replace(made, **more)  # type: ignore[arg-type]


RESPONSE = tuple(
    a_patch("response", hue, Level("code", float(code)))
    for hue in ("grey", "red", "green", "blue")
    for code in (0, 16, 32, 64, 96, 128, 160, 192, 224, 255)
)
WANTED = (0.5, 2.0, 10.0, 50.0, 200.0)


def numbered(patches: tuple[Patch, ...]) -> Iterator[Step]:
    yield PutProbe(1, 1, CENTRE)
    for number, patch in enumerate(patches, start=2):
        yield Read(number, 1, patch)
    yield CloseLook(len(patches) + 2)


def level_steps(*, refine: bool = True, mix: bool = True) -> tuple[Step, ...]:
    levels = tuple(
        a_patch("ramp", "grey", Level("cd_m2", Y), refine=refine, between_codes=mix, reads=Reads(2)) for Y in WANTED
    )
    return tuple(numbered((*RESPONSE, *levels)))


def of(rows: list[Row], purpose: str) -> list[Row]:
    return [row for row in rows if row.purpose == purpose]
