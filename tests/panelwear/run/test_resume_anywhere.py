"""A rich sequence killed at any reading and resumed: the rows are those of an undisturbed run, flags and all.

The probe sees only the spot it sits on, so a warm-up or a patch read at the wrong place is found out.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from groundwork.clock import VirtualClock
from panelwear.errors import UsageError
from panelwear.folder import checkpoint
from panelwear.folder.zone_places import as_recorded
from panelwear.panel.assumed import assumed_response
from panelwear.panel.resolve import LevelResolver
from panelwear.readings.row import Row
from panelwear.run.resume import WARMING
from panelwear.run.session import resume_checkpoint, run_checkpoint
from panelwear.screen.bench import Bench
from panelwear.screen.fake import FakeScreen
from panelwear.simulation.scripted import ScriptedOperator
from patterns.frame import Rect
from probe_io.reading import Idle, ProbeIdentity, Reading
from sequences import expand, reader
from sequences.model import PanelFacts, Read, Step, Zone
from tests.panelwear.run.bench import Stand

RICH = """
name = "rich"
description = "Everything a sequence can hold, small."
[reading]
settle_s = 1.0
reads = { until = 0.01, until_cd_m2 = 0.01, max = 9, n = 5 }
[reference]
code = 128
share = 0.2
every = 4
reads = 2
[[steps]]
kind = "ask"
topics = ["settings"]
[[steps]]
kind = "place"
at = "centre"
[[steps]]
kind = "room"
reads = 2
[[steps]]
kind = "place"
at = "centre"
[[steps]]
kind = "warm-up"
minutes = 20
max_minutes = 40
[[steps]]
kind = "read"
  [[steps.patches]]
  group = "response"
  codes = [0, 64, 128, 192, 255]
  share = 0.2
  reads = 2
  [[steps.patches]]
  group = "window"
  cd_m2 = [5, 20]
  share = 0.2
[[steps]]
kind = "hold"
photo = true
seconds = 3
  [[steps.patches]]
  group = "field"
  codes = [60]
[[steps]]
kind = "read"
  [[steps.patches]]
  group = "grid"
  points = 5
  codes = [128]
  reads = 2
[[steps]]
kind = "read"
  [[steps.patches]]
  group = "zones"
  codes = [90, 180]
  reads = 2
[[steps]]
kind = "close-look"
"""
ZONES = (
    Zone("middle", Rect(100, 60, 120, 80), (160.0, 100.0)),
    Zone("bar", Rect(0, 0, 50, 200), (25.0, 100.0), "middle"),
    Zone("badge", Rect(260, 0, 60, 60), (290.0, 30.0), "middle"),
)
FACTS = PanelFacts(320, 200, (320.0, 200.0), zones=ZONES, aperture_mm=10.0)
REQUESTED = ("row", "visit", "pair", "step", "patch", "purpose", "place", "pattern", "red", "green", "blue",
             "background", "rect_px", "lit_share", "target_cd_m2", "level_basis", "repeat", "geometry_sha256",
             "frame_sha256", "flags", "Y_cd_m2")  # fmt: skip


class PowerCutError(Exception):
    """Stands for a kill."""


class SpotProbe:
    """Reads the pixels in the ten millimetres it sits on, and nothing else."""

    def __init__(self, screen: FakeScreen, clock: VirtualClock, cut_at: int = 0) -> None:
        self.screen, self.clock, self.cut_at = screen, clock, cut_at
        self.count = 0
        self.at_px: tuple[float, float] | None = None
        self.covered = False

    def put(self, at_px: tuple[float, float]) -> None:
        self.at_px = at_px

    def cover(self, covered: bool = True) -> None:
        self.covered = covered

    def switch_panel(self, on: bool) -> None:
        del on

    def open(self) -> ProbeIdentity:
        return ProbeIdentity("spot", "none")

    def measure(self, integration_s: float | None = None, idle: Idle | None = None) -> Reading:
        self.count += 1
        if self.count == self.cut_at:
            raise PowerCutError
        assert self.at_px is not None, "read before the probe was put anywhere"
        x, y = (round(v) for v in self.at_px)
        spot = self.screen.pixels()[max(0, y - 5) : y + 5, max(0, x - 5) : x + 5]
        light = 250 * float(((spot / 255.0) ** 2.2).mean()) + 0.0005
        now_s = self.clock.monotonic_s()
        self.clock.sleep(integration_s or 0.5)
        return Reading(0.95 * light, light, 1.09 * light, integration_s or 0.5, now_s, 0.5)

    def close(self) -> None:
        pass


def steps() -> tuple[Step, ...]:
    return expand.expand(reader.parse(RICH), FACTS, 3)


class Desk(Stand):
    """A stand whose probe sees only its spot."""

    def bench(self, cut_at: int = 0) -> Bench:
        clock = VirtualClock(datetime(2026, 2, 3, 20, tzinfo=UTC))
        screen = FakeScreen(320, 200, clock)
        probe = SpotProbe(screen, clock, cut_at)
        operator = ScriptedOperator({"screen-off": "skip", "probe-floor": "skip"}, probe)
        return Bench(screen, clock, operator, probe)

    def run(self, cut_at: int = 0) -> int:
        bench = self.bench(cut_at)
        run_checkpoint(bench, replace(self.job(), unattended=True, resolver=self.resolver()))
        assert isinstance(bench.probe, SpotProbe)
        return bench.probe.count

    def resolver(self) -> LevelResolver:
        return LevelResolver(assumed_response(self.panel.assumed_response))

    def resume(self) -> checkpoint.Checkpoint:
        reopened = checkpoint.load(self.checkpoint.directory)
        job = replace(self.job(), checkpoint=reopened, unattended=True, resolver=self.resolver())
        resume_checkpoint(self.bench(), job)
        return reopened


def counted(rows: list[Row]) -> list[tuple[object, ...]]:
    told = [tuple(getattr(r, name) for name in REQUESTED if name != "row") for r in rows if r.purpose not in WARMING]
    return [tuple(round(v, 6) if isinstance(v, float) else v for v in row) for row in told]


@pytest.fixture(scope="module")
def undisturbed(tmp_path_factory: pytest.TempPathFactory) -> tuple[list[tuple[object, ...]], int]:
    whole = Desk(tmp_path_factory.mktemp("whole") / "harbour-desk", steps())
    readings = whole.run()
    return counted(whole.checkpoint.rows()), readings


def test_an_undisturbed_run_settles_and_is_not_flagged(undisturbed: tuple[list[tuple[object, ...]], int]) -> None:
    rows, _ = undisturbed
    assert {row[REQUESTED.index("flags") - 1] for row in rows} <= {"ok", "low-light"}
    assert len(rows) > 60


SOME = (0.0, 0.5, 1.0)
ALL = (*SOME, 0.02, 0.1, 0.25, 0.4, 0.55, 0.6, 0.7, 0.8, 0.9, 0.97)


@pytest.mark.parametrize("share", [s if s in SOME else pytest.param(s, marks=pytest.mark.slow) for s in ALL])
def test_killed_at_any_reading_and_resumed_the_rows_are_the_same(
    tmp_path: Path, undisturbed: tuple[list[tuple[object, ...]], int], share: float
) -> None:
    wanted, readings = undisturbed
    broken = Desk(tmp_path / "harbour-desk", steps())
    with pytest.raises(PowerCutError):
        broken.run(max(1, round(share * readings)))

    reopened = broken.resume()

    assert counted(reopened.rows()) == wanted
    held = [entry["photo"] for entry in reopened.session.get("held", [])]
    assert held == ["01-title-card", "02-grey-c60-full"]
    assert reopened.session["zones"] == as_recorded(broken.panel.zones)


def test_where_the_steps_go_another_way_by_now_nothing_is_read_and_the_rows_stay(tmp_path: Path) -> None:
    broken = Desk(tmp_path / "harbour-desk", steps())
    with pytest.raises(PowerCutError):
        broken.run(90)
    before = broken.checkpoint.readings_path.read_bytes()
    places = {step.patch.place for step in broken.steps if isinstance(step, Read)}
    first = next(step for step in broken.steps if isinstance(step, Read))
    elsewhere = replace(first.patch, place=next(place for place in places if place != first.patch.place))
    broken.steps = tuple(replace(step, patch=elsewhere) if step == first else step for step in broken.steps)
    said = f"was read at centre by step {first.number}, which now reads at {elsewhere.place.name}"
    with pytest.raises(UsageError, match=f"begun with other steps .*{said}"):
        broken.resume()
    assert broken.checkpoint.readings_path.read_bytes() == before


def test_after_the_last_reading_nothing_is_placed_or_warmed_again(tmp_path: Path) -> None:
    desk = Desk(tmp_path / "harbour-desk", steps())
    desk.run()
    bench = desk.bench()

    reopened = checkpoint.load(desk.checkpoint.directory)
    reopened.session["status"] = "stopped"
    resume_checkpoint(bench, replace(desk.job(), checkpoint=reopened, unattended=True, resolver=desk.resolver()))

    assert isinstance(bench.probe, SpotProbe)
    assert bench.operator.places[1:] == []
    assert bench.probe.count <= 10


def test_a_closed_checkpoint_is_not_resumed(tmp_path: Path) -> None:
    desk = Desk(tmp_path / "harbour-desk", steps())
    with pytest.raises(PowerCutError):
        desk.run(30)
    before = desk.checkpoint.readings_path.read_bytes()
    checkpoint.load(desk.checkpoint.directory).close(datetime(2026, 2, 4, tzinfo=UTC))

    with pytest.raises(Exception, match="closed"):
        desk.resume()

    assert desk.checkpoint.readings_path.read_bytes() == before


def test_a_resume_that_is_stopped_before_its_first_reading_leaves_the_rows_where_they_were(tmp_path: Path) -> None:
    desk = Desk(tmp_path / "harbour-desk", steps())
    with pytest.raises(PowerCutError):
        desk.run(30)
    before = desk.checkpoint.readings_path.read_bytes()
    reopened = checkpoint.load(desk.checkpoint.directory)

    with pytest.raises(PowerCutError):
        job = replace(desk.job(), checkpoint=reopened, unattended=True, resolver=desk.resolver())
        resume_checkpoint(desk.bench(cut_at=1), job)

    assert desk.checkpoint.readings_path.read_bytes() == before
    assert list(desk.checkpoint.directory.glob("*set-aside*")) == []
