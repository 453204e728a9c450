"""The probe's place is found with the screen at each placement, and again when it was moved or fell."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from groundwork.clock import VirtualClock
from panelwear.errors import ProbeFault
from panelwear.folder import checkpoint
from panelwear.panel.placement import placement_from_json
from panelwear.run.session import run_checkpoint
from panelwear.screen.bench import Bench
from panelwear.screen.fake import FakeScreen
from panelwear.screen.operator import Question
from panelwear.screen.page import Words
from panelwear.simulation.scripted import ScriptedOperator
from patterns.frame import Picture
from probe_io.reading import Idle, Reading
from sequences.model import Level, Place
from tests.panelwear.panel.aperture_simulator import SimulatedProbe
from tests.panelwear.run.bench import Stand
from tests.panelwear.run.glow import (
    GlowProbe,
    a_patch,
    numbered,
    of,
)


class SessionProbe(GlowProbe):
    """A probe with a disc aperture that sits somewhere."""

    def __init__(self, screen: FakeScreen, clock: VirtualClock, at_mm: tuple[float, float]) -> None:
        super().__init__(screen, clock)
        self.disc = SimulatedProbe(at_mm, 20.0, (1.0, 1.0), np.random.default_rng(3))

    def light(self, picture: Picture) -> float:
        return self.disc.see(picture)


def locating(at_mm: tuple[float, float], answer: str = "leave") -> Bench:
    clock = VirtualClock(datetime(2026, 2, 3, 20, tzinfo=UTC))
    screen = FakeScreen(320, 200, clock)
    return Bench(screen, clock, ScriptedOperator({"probe_off": answer}), SessionProbe(screen, clock, at_mm))


def test_the_probe_is_found_at_each_placement_when_asked_and_compared_with_last_time(tmp_path: Path) -> None:
    steps = tuple(numbered((a_patch("ramp", "grey", Level("code", 128.0)),)))
    stand = Stand(tmp_path / "harbour-desk", steps)
    job = replace(stand.job(), locate=True)

    run_checkpoint(locating((163.0, 98.0)), job)
    second = locating((166.0, 98.0))
    run_checkpoint(second, job)

    first, now = (s["placements"]["1"] for s in checkpoint.load(stand.checkpoint.directory).record["sessions"])
    assert placement_from_json(first).centre_mm == pytest.approx((163.0, 98.0), abs=0.2)
    assert placement_from_json(first).diameter_mm == pytest.approx(20.0, rel=0.02)
    assert first["offset_mm"] is None
    assert now["offset_mm"] == pytest.approx([3.0, 0.0], abs=0.3)
    told = "\n".join(second.operator.told)  # type: ignore[attr-defined]
    assert "mm from where it sat last time" in told
    rows = of(stand.checkpoint.rows(), "locate")
    assert 10 < len(rows) <= 80
    assert all(row.lit_share == 0.5 for row in rows)


def test_a_probe_that_sits_off_can_be_moved_and_is_found_again(tmp_path: Path) -> None:
    steps = tuple(numbered((a_patch("ramp", "grey", Level("code", 128.0)),)))
    stand = Stand(tmp_path / "harbour-desk", steps)
    job = replace(stand.job(), locate=True)
    run_checkpoint(locating((163.0, 98.0)), job)
    second = locating((170.0, 95.0), "move")
    operator = second.operator

    def moved(place: Place, text: str, watch: object = None) -> None:
        operator.told.append(text)  # type: ignore[attr-defined]
        if "hollow square" in text:
            second.probe.disc.centre_mm = (163.1, 98.0)  # type: ignore[union-attr]

    operator.put_probe = moved  # type: ignore[method-assign]
    run_checkpoint(second, job)

    now = checkpoint.load(stand.checkpoint.directory).session["placements"]["1"]
    assert now["offset_mm"] == pytest.approx([0.1, 0.0], abs=0.3)


def test_a_probe_that_is_not_on_the_screen_is_never_ok_though_the_person_goes_on(tmp_path: Path) -> None:
    steps = tuple(numbered((a_patch("ramp", "grey", Level("code", 128.0)),)))
    stand = Stand(tmp_path / "harbour-desk", steps)
    bench = locating((-60.0, 98.0), "go on")
    bench.operator.answers["implausible"] = "it is so"  # type: ignore[attr-defined]

    run_checkpoint(bench, replace(stand.job(), locate=True))

    assert any("not on this screen" in text for text in bench.operator.told)  # type: ignore[attr-defined]
    ramp = of(stand.checkpoint.rows(), "ramp")
    assert len([row for row in ramp if "implausible" not in row.flags]) == 3
    assert all("unexpected" in row.flags for row in ramp)


def test_with_nobody_there_a_probe_that_is_not_on_the_screen_ends_the_run(tmp_path: Path) -> None:
    steps = tuple(numbered((a_patch("ramp", "grey", Level("code", 128.0)),)))
    stand = Stand(tmp_path / "harbour-desk", steps)
    with pytest.raises(ProbeFault, match="Nothing is read there"):
        run_checkpoint(locating((-60.0, 98.0)), replace(stand.job(), locate=True, unattended=True))
    assert of(stand.checkpoint.rows(), "ramp") == []


def test_a_probe_that_fell_is_located_again_before_its_reading_counts(tmp_path: Path) -> None:
    patches = (a_patch("ramp", "grey", Level("code", 128.0)), a_patch("ramp", "grey", Level("code", 200.0)))
    stand = Stand(tmp_path / "harbour-desk", tuple(numbered(patches)))
    job = replace(stand.job(), locate=True)
    run_checkpoint(locating((163.0, 98.0)), job)
    bench = locating((165.0, 98.0))
    probe, operator = bench.probe, bench.operator
    assert isinstance(probe, SessionProbe)
    disc, measure, ask, puts, questions = probe.disc, probe.measure, operator.ask, list[str](), list[Question]()

    def put(place: Place, text: str, watch: object = None) -> None:
        puts.append(text)
        if len(puts) > 1:  # picked up: beside its target first, then where it sat before
            disc.centre_mm = (170.0, 95.0) if len(puts) == 2 else (165.1, 98.0)

    def answered(question: Question) -> str:
        questions.append(question)
        return "move" if question.key == "probe_off" and len(puts) > 1 else ask(question)

    def fallen_in_the_third(integration_s: float | None = None, idle: Idle | None = None) -> Reading:
        if len(puts) == 1 and len(of(stand.checkpoint.rows(), "ramp")) == 6 + 2:
            disc.centre_mm = (-60.0, 98.0)
        return measure(integration_s, idle)

    operator.put_probe, operator.ask = put, answered  # type: ignore[method-assign]
    probe.measure = fallen_in_the_third  # type: ignore[method-assign]
    run_checkpoint(bench, job)

    rows = [row for row in stand.checkpoint.rows() if row.session == 2]
    fallen = max(at for at, row in enumerate(rows) if "implausible" in row.flags)
    good = next(at for at, row in enumerate(rows) if at > fallen and row.patch.startswith("ramp/"))
    searched = rows[fallen + 1 : good]
    assert len(searched) > 20
    assert {(row.purpose, row.visit) for row in searched} == {("locate", 1)}
    assert rows[good].settled_s == pytest.approx(1.0, abs=0.1)
    assert "implausible" not in rows[good].flags
    assert "hollow square" in puts[2]
    # Each question is a page: what happened, what is stored, what to do, and a key for each choice.
    assert {question.key for question in questions} == {"probe_off", "implausible"}
    for question in questions:
        assert question.page is not None
        assert tuple(item.id for item in question.page.items) == question.choices
        assert {item.value for item in question.page.items} <= {key for key, _ in question.page.keys}
        words = [part.text for part in question.page.parts if isinstance(part, Words)]
        assert any("stored in" in text for text in words)
        assert words[0] == question.text
    # Compared with the last session, not with where it sat before it fell.
    now = checkpoint.load(stand.checkpoint.directory).session["placements"]["1"]
    assert now["offset_mm"] == pytest.approx([2.1, 0.0], abs=0.3)
