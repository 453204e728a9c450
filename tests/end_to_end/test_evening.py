"""An evening at the panel by keyboard alone: pause, an unplugged meter, Escape, gone on with to its end.

Its steps are the journey ``inspection`` of docs/journeys.toml.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from panelwear.folder import checkpoint
from panelwear.upkeep.check import check
from panelwear.upkeep.create import PanelSpec, new_panel
from tests.end_to_end.stand import BRIEF, Desk
from tests.end_to_end.test_pulled_meter import Port, meter
from tests.journeys import Journey
from tests.screens import Program, window_manager, xvfb

pytestmark = [pytest.mark.screen, pytest.mark.skipif(os.name != "posix", reason="pseudo-terminals need POSIX")]
SIZE = (1280, 720)
SEQUENCE = f"""
name = "evening"
description = "A short evening, for tests."
{BRIEF.replace("settle_s = 0.1", "settle_s = 7.0").replace("reads = 3", "reads = 2")}
[[steps]]
kind = "place"
at = "centre"
[[steps]]
kind = "warm-up"
minutes = 0.2
max_minutes = 0.2
read = false
[[steps]]
kind = "read"
  [[steps.patches]]
  group = "window"
  codes = [40, 120]
  share = 0.1
[[steps]]
kind = "place"
at = "x250y500"
[[steps]]
kind = "read"
  [[steps.patches]]
  group = "field"
  codes = [60]
[[steps]]
kind = "close-look"
"""


@pytest.fixture
def stand(tmp_path: Path) -> Iterator[Desk]:
    new_panel(tmp_path / "harbour-desk", PanelSpec("harbour-desk", *SIZE, (596.7, 335.7)))
    (tmp_path / "evening.toml").write_text(SEQUENCE, encoding="utf-8")
    with xvfb(*SIZE) as display, window_manager(display):
        yield Desk(tmp_path / "harbour-desk", display)


def confirm(journey: Journey, run: Program, step: str) -> None:
    """Press Return once it is heard."""
    run.wait_for("LISTENS", 120.0)
    journey.step(step)
    journey.display.key("Return")


@pytest.mark.slow
def test_an_evening_with_a_pause_an_unplugged_meter_and_escape_is_gone_on_with(stand: Desk, tmp_path: Path) -> None:
    journey = Journey("inspection", stand.display)
    port = Port(tmp_path)
    words = [word for word in stand.inspect("./port") if word != "--yes"]
    with ExitStack() as cable:
        cable.enter_context(meter(stand, port, "0042"))
        with stand.running(*words, "--sequence", "evening.toml") as run:
            confirm(journey, run, "cautions")
            confirm(journey, run, "how-the-probe-is-put-on")
            confirm(journey, run, "put-the-probe")
            run.wait_shown("warm-up")
            run.wait_shown("warm-up")
            journey.step("warm-up", moves=True)
            stand.display.key("p")
            run.wait_for("paused, ")
            run.wait_shown("pause")
            journey.step("paused", moves=True)
            stand.display.key("x", "s", "h")
            run.wait_shown("pause")
            journey.step("keys-in-the-pause", moves=True)
            stand.display.key("Return")
            run.wait_for("goes on after a pause")
            run.wait_shown("window")  # the first patch
            run.wait_shown("window")
            cable.close()
            run.wait_for("PAGE The meter does not answer", 120.0)
            journey.step("meter-away")
            stand.display.key("x")
            with meter(stand, port, "0042"):
                stand.display.key("r")
                run.wait_for("the meter answers again")
                run.wait_for("steady again", 200.0)
                run.wait_shown("target", 200.0)
                stand.display.key("Escape")
                code, said = run.finish()
    assert code == 1
    stored = len(stand.rows())
    assert f"{stored} readings are stored" in said
    assert len(checkpoint.find(stand.folder, None).session["pauses"]) == 1

    with meter(stand, port, "0042"), stand.running("resume", str(stand.folder)) as run:
        confirm(journey, run, "cautions-again")
        confirm(journey, run, "put-the-probe-back")
        run.wait_for("PAGE Done", 200.0)
        run.wait_for("LISTENS")
        journey.step("done")
        stand.display.key("Return")
        assert run.finish() == (0, "")
    journey.ended()

    session = checkpoint.find(stand.folder, None).session
    assert session["status"] == "done"
    good = [row for row in stand.rows() if row.Y_cd_m2 is not None and row.purpose not in {"settling", "control"}]
    assert {row.patch for row in good if row.purpose not in {"warm-up", "reference"}} == {
        "window/centre/grey/c40/w10",
        "window/centre/grey/c120/w10",
        "field/x250y500/grey/c60/full",
    }
    assert check(stand.folder).problems == ()
