"""A bench of fakes for the engine: a screen that remembers, a virtual clock, a probe that follows the pixels."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from groundwork.clock import VirtualClock
from panelwear.folder import checkpoint
from panelwear.folder.panel import load_panel, load_probe_settings
from panelwear.panel.assumed import assumed_response
from panelwear.panel.resolve import LevelResolver
from panelwear.run.session import Job
from panelwear.screen.bench import Bench
from panelwear.screen.fake import FakeScreen
from panelwear.simulation.scripted import ScriptedOperator
from panelwear.upkeep.create import PanelSpec, new_panel
from probe_io.reading import Idle, ProbeIdentity, Reading
from sequences.model import AskFacts, CloseLook, Level, Patch, Place, PutProbe, Read, Reads, Step

CENTRE = Place("centre", (160.0, 100.0))
BADGE = Place("badge", (300.0, 20.0))


class PixelProbe:
    """Reads the mean of the screen's pixels as light; ``before`` runs ahead of each reading and may raise."""

    def __init__(self, screen: FakeScreen, before: Callable[[int], None] | None = None) -> None:
        self.screen = screen
        self.before = before
        self.count = 0

    def open(self) -> ProbeIdentity:
        return ProbeIdentity("pixels", "none", serial="42")

    def measure(self, integration_s: float | None = None, idle: Idle | None = None) -> Reading:
        self.count += 1
        if self.before is not None:
            self.before(self.count)
        if idle is not None:
            idle()
        Y = float(self.screen.pixels().mean())
        return Reading(0.95 * Y, Y, 1.09 * Y, integration_s or 0.5, self.screen._clock.monotonic_s(), 0.5)

    def close(self) -> None:
        pass


def patch(code: float, place: Place = CENTRE, purpose: str = "ramp", n: int = 2) -> Patch:
    return Patch(purpose, place, "grey", Level("code", code), "full", purpose, "field", settle_s=1.0, reads=Reads(n=n))


def small_steps() -> tuple[Step, ...]:
    """Two questions, a visit at the centre, then a zone against its reference as Z R R Z."""
    reference = patch(128, purpose="reference")
    zone, beside = patch(180, BADGE, "zone"), patch(180, CENTRE, "zone")
    steps: list[Step] = [AskFacts(1, ("settings", "room")), PutProbe(2, 1, CENTRE)]
    steps += [Read(n, 1, p) for n, p in enumerate([reference, patch(40), patch(200), reference], start=3)]
    number = 7
    for turn, (visit, p) in enumerate([(2, zone), (3, beside), (4, beside), (5, zone)], start=1):
        steps.append(PutProbe(number, visit, p.place))
        steps.append(Read(number + 1, visit, p, f"badge.{turn}"))
        number += 2
    return (*steps, CloseLook(number))


class Stand:
    """A panel folder with a checkpoint and a bench of fakes."""

    def __init__(self, folder: Path, steps: tuple[Step, ...] | None = None) -> None:
        new_panel(folder, PanelSpec("harbour-desk", 320, 200, (320.0, 200.0)))
        self.folder = folder
        self.steps = small_steps() if steps is None else steps
        self.panel = load_panel(folder)
        self.checkpoint = checkpoint.open_or_create(
            folder, "harbour-desk", 500, 12, datetime(2026, 2, 3, 20, tzinfo=UTC)
        )

    def bench(self, before: Callable[[int], None] | None = None, with_probe: bool = True) -> Bench:
        clock = VirtualClock(datetime(2026, 2, 3, 20, tzinfo=UTC))
        screen = FakeScreen(320, 200, clock)
        operator = ScriptedOperator({"brightness": "60"})
        return Bench(screen, clock, operator, PixelProbe(screen, before) if with_probe else None)

    def job(self) -> Job:
        return Job(
            panel=self.panel,
            checkpoint=self.checkpoint,
            probe_settings=load_probe_settings(self.folder),
            sequence="small",
            source=b"# small\n",
            steps=self.steps,
            seed=7,
            resolver=LevelResolver(assumed_response(self.panel.assumed_response)),
            probe_identity=ProbeIdentity("pixels", "none", serial="42"),
        )
