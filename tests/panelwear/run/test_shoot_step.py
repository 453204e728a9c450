"""The step that photographs: within a run, by what it has measured, and gone on with after Escape."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from panelwear.camera.within_run import photograph
from panelwear.errors import Stopped, UsageError
from panelwear.folder.panel import load_panel
from panelwear.folder.shoots import shoots_of
from panelwear.run.messages import Photograph
from panelwear.run.session import resume_checkpoint, run_checkpoint
from panelwear.run.state import RunState
from panelwear.screen.bench import Bench
from panelwear.upkeep.create import PanelSpec, new_panel
from sequences import expand, listing, reader
from sequences.errors import SequenceError
from sequences.estimate import plan
from sequences.model import CloseLook, Hold, PanelFacts, PutProbe, Read, Shoot
from tests.panelwear.run.bench import CENTRE, Stand, patch

STEPS = (Hold(1, patch(40), "01-a", 5.0), Shoot(2, "short", False), PutProbe(3, 1, CENTRE), Read(4, 1, patch(40)),
         CloseLook(5))  # fmt: skip
PANEL = PanelFacts(1280, 720, (598.0, 336.0))
TEXT = """
name = "seen"
description = "Photographs, then a patch."
[[steps]]
kind = "shoot"
list = "short"
poses = true
"""


class Photographer:
    """Takes the place of the camera; stops the run as often as it is told to."""

    def __init__(self, stops: int = 0) -> None:
        self.stops = stops
        self.wanted: list[Photograph] = []

    def __call__(self, bench: Bench, state: RunState, wanted: Photograph) -> str:
        self.wanted.append(wanted)
        if len(self.wanted) <= self.stops:
            raise Stopped("Escape")
        return "shoot-1"


def watched(
    stand: Stand, photographer: Callable[..., str] | None, before: Callable[[int], None] | None = None
) -> Bench:
    """Make a bench whose screen somebody sees: of a rehearsal's nothing is photographed."""
    bench = stand.bench(before)
    bench.screen.facts = replace(bench.screen.facts, off_screen=False)
    bench.photographer = photographer
    return bench


def test_a_rehearsal_s_screen_is_not_photographed(tmp_path: Path) -> None:
    stand, photographer = Stand(tmp_path / "harbour-desk", STEPS), Photographer()
    bench = stand.bench()
    bench.photographer = photographer
    run_checkpoint(bench, stand.job())
    assert photographer.wanted == []
    assert [one["step"] for one in stand.checkpoint.session["held"]] == [1]


def test_a_run_photographs_and_keeps_which_shoot_it_was(tmp_path: Path) -> None:
    stand, photographer = Stand(tmp_path / "harbour-desk", STEPS), Photographer()
    bench = watched(stand, photographer)

    run_checkpoint(bench, stand.job())

    assert photographer.wanted == [Photograph("short", False)]
    assert [one["step"] for one in stand.checkpoint.session["held"]] == [1, 2]
    assert stand.checkpoint.session["held"][1] == {"step": 2, "shoot": "shoot-1"}
    assert len(stand.checkpoint.rows()) == 2


@pytest.mark.parametrize("stops", [1, 0])
def test_a_resumed_run_photographs_only_what_was_not_finished(tmp_path: Path, stops: int) -> None:
    stand, photographer = Stand(tmp_path / "harbour-desk", STEPS), Photographer(stops)
    bench = watched(stand, photographer, lambda count: _stop_at(1 if not stops else -1, count))
    with pytest.raises(Stopped):
        run_checkpoint(bench, stand.job())
    again = watched(stand, photographer)

    resume_checkpoint(again, stand.job())

    assert len(photographer.wanted) == 1 + stops
    assert stand.checkpoint.session["status"] == "done"


def _stop_at(wanted: int, count: int) -> None:
    if count == wanted:
        raise Stopped("Escape")


def test_without_a_camera_passed_in_it_is_said(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk", STEPS)
    with pytest.raises(UsageError, match="cannot photograph; leave its shoot steps out"):
        run_checkpoint(watched(stand, None), stand.job())


def test_a_whole_shoot_within_a_run_that_nobody_watches(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk", STEPS)
    large = tmp_path / "large"
    new_panel(large, PanelSpec("harbour-desk", 640, 360, (320.0, 180.0)))
    bench = stand.bench()
    facts = bench.screen.facts
    bench.screen = type(bench.screen)(640, 360, bench.clock)
    bench.screen.facts = replace(facts, width_px=640, height_px=360, off_screen=False)
    bench.probe.screen = bench.screen  # type: ignore[union-attr]
    bench.photographer = photograph
    job = replace(stand.job(), panel=load_panel(large), unattended=True)

    run_checkpoint(bench, job)

    (record,) = shoots_of(stand.checkpoint.directory)
    assert record.status == "done" and record.list_name == "short"
    assert [one.name for one in record.shots if one.to_utc] == ["title-card", "dots", "black", "grey-50cd", "dots-end"]
    assert stand.checkpoint.session["held"][1]["shoot"] == "shoot-1"


def test_a_sequence_names_the_list_and_knows_its_time_and_light() -> None:
    (step,) = expand.expand(reader.parse(TEXT, "seen.toml"), PANEL, 1)
    assert isinstance(step, Shoot) and (step.list_name, step.poses, step.number) == ("short", True, 1)
    assert listing.told(step) == (
        "photograph the panel by the list short: title card, 11 shots, in three more poses too"
    )
    effort = plan((step,), PANEL)
    assert effort.holds == 11
    assert effort.hold_minutes == pytest.approx(sum(one + 20 for one in step.shot_s) / 60)
    # Four greys of 50 cd/m² for 26 s each, hours of 120 cd/m² with exponent 1.7; dots are a hundredth of the area.
    grey = 4 * 26 * (50 / 120) ** 1.7 / 3600
    assert grey < effort.dose_h < 1.02 * grey


def test_a_list_that_is_not_there_is_a_fault_of_the_sequence() -> None:
    with pytest.raises(SequenceError, match="did you mean 'short'"):
        expand.expand(
            reader.parse(TEXT.replace("short", "shrt"), "seen.toml"), PanelFacts(1280, 720, (598.0, 336.0)), 1
        )
