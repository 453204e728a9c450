"""A panel that stayed lit through a short interruption is only watched until steady, when a person says so."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from groundwork.clock import VirtualClock
from panelwear.commands import resume
from panelwear.errors import UsageError
from panelwear.figures.run_remarks import run_remarks
from panelwear.run.interruption import AUTO, SHORT_S, Choice, choose_warm_up, interrupted_s
from panelwear.run.session import Outcome, resume_checkpoint, run_checkpoint
from panelwear.screen.bench import Bench
from panelwear.screen.fake import FakeScreen
from panelwear.simulation.scripted import ScriptedOperator
from sequences.model import PutProbe, Read, Step, WarmUp
from tests.panelwear.run.bench import CENTRE, PixelProbe, Stand, patch

NOW = datetime(2026, 2, 3, 22, tzinfo=UTC)
WARM = WarmUp(2, 20.0, 40.0, 90.0, patch(128, purpose="reference"))
STEPS: tuple[Step, ...] = (PutProbe(1, 1, CENTRE), WARM, *(Read(n, 1, patch(10 * n)) for n in range(3, 9)))
STEADY = {"warm_up": {"verdict": "settled"}}


class PowerCutError(Exception):
    """Stands for a kill."""


def choice(
    wanted: str = AUTO,
    record: dict[str, object] | None = None,
    away_s: float | None = 240.0,
    steps: tuple[Step, ...] = STEPS,
    answer: str = "yes",
) -> Choice:
    person = ScriptedOperator({"stayed_lit": answer})
    return choose_warm_up(wanted, STEADY if record is None else record, away_s, steps, person)


def test_it_is_short_where_a_person_says_that_the_panel_stayed_lit() -> None:
    assert choice() == Choice(True, "a person says that the panel stayed lit", 240.0)


@pytest.mark.parametrize(
    ("given", "why"),
    [
        ({"wanted": ""}, "as planned"),
        ({"answer": "no"}, "nobody says"),
        ({"away_s": SHORT_S + 1}, "interrupted for 10 min"),
        ({"away_s": None}, "not known"),
        ({"record": {"warm_up": {"verdict": "not-settled"}}}, "had not been read steady"),
        ({"record": {}}, "had not been read steady"),
        ({"steps": STEPS[2:]}, "no warm-up is due"),
        ({"steps": (replace(WARM, patch=None),)}, "could not be judged"),
    ],
)
def test_else_it_is_as_planned_and_says_why(given: dict[str, object], why: str) -> None:
    found = choice(**given)
    assert not found.short
    assert why in found.why


@pytest.mark.parametrize(
    ("record", "seconds"),
    [
        ({"status": "stopped", "ended_utc": "2026-02-03T21:56:00Z"}, 240.0),
        ({"status": "stopped", "ended_utc": "2026-02-03T22:01:00Z"}, None),
        ({"status": "stopped", "ended_utc": "yesterday"}, None),
        ({"status": "running", "ended_utc": "2026-02-03T21:56:00Z"}, None),
    ],
    ids=["stopped", "a clock set back", "nonsense", "killed before the first row"],
)
def test_how_long_it_was_is_told_by_the_record(record: dict[str, object], seconds: float | None) -> None:
    assert interrupted_s(record, [], NOW) == seconds


@pytest.mark.parametrize("text", ["soon", "nan", "-1", "601"])
def test_a_warm_up_that_cannot_be_meant_is_refused(text: str, tmp_path: Path) -> None:
    from panelwear.run.plan import within_minutes

    with pytest.raises(UsageError, match="--warm-up"):
        minutes = resume._minutes(text)
        assert minutes is not None
        within_minutes(minutes)
    assert [resume._minutes(text) for text in (None, AUTO, "2.5")] == [None, None, 2.5]


def cut(stand: Stand, at: int) -> datetime:
    """Kill a run at a reading; return when that was."""
    bench = stand.bench()

    def power(count: int) -> None:
        if count == at:
            raise PowerCutError

    bench.probe = PixelProbe(bench.screen, power)
    with pytest.raises(PowerCutError):
        run_checkpoint(bench, stand.job())
    return bench.clock.utc()


def go_on(stand: Stand, at: datetime, **job: object) -> tuple[Outcome, FakeScreen, ScriptedOperator]:
    clock = VirtualClock(at)
    screen, person = FakeScreen(320, 200, clock), ScriptedOperator({"stayed_lit": "yes"})
    found = resume_checkpoint(Bench(screen, clock, person, PixelProbe(screen)), replace(stand.job(), **job))
    return found, screen, person


@pytest.mark.parametrize(("wanted", "away_min", "short"), [(AUTO, 4, True), (AUTO, 20, False), ("", 4, False)])
def test_a_resumed_run_watches_or_warms_up(tmp_path: Path, wanted: str, away_min: int, short: bool) -> None:
    stand = Stand(tmp_path / "harbour-desk", STEPS)
    ended = cut(stand, 74)
    assert stand.checkpoint.session["warm_up"]["verdict"] == "settled"
    found, screen, _ = go_on(stand, ended + timedelta(minutes=away_min), warm_up_choice=wanted)

    assert (sum(shown.frame.pattern == "warm-up" for shown in screen.note.shown) == 0) == short
    (noted,) = stand.checkpoint.session["warm_up_resumed"]
    assert noted["how"] == ("watched until steady" if short else "as planned")
    assert noted["interrupted_s"] == pytest.approx(60 * away_min, abs=30)
    counted = [row for row in found.rows if row.purpose == "ramp"]
    assert {row.flags for row in counted} == {"ok"}
    assert [row.Y_cd_m2 for row in counted] == [float(10 * n) for n in range(3, 9) for _ in range(2)]
    assert bool(run_remarks(stand.checkpoint.record["sessions"])) == short


def test_shorter_minutes_flag_the_rows_and_are_told(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk", STEPS)
    found, _, _ = go_on(stand, cut(stand, 74) + timedelta(minutes=4), warm_up_minutes=1.0)
    assert {row.flags for row in found.rows if row.purpose == "ramp"} == {"not-settled"}
    (said,) = run_remarks(stand.checkpoint.record["sessions"])
    assert "after an interruption of 4 min" in said
    assert "the warm-up was shortened: 1 min" in said


def test_what_the_record_holds_of_the_meter_is_told() -> None:
    away = {"from_row": 12, "seconds": 34.2, "why": "unplugged", "link": "port"}
    other = {"from_row": 20, "said": "the meter that answers is A 99; before it was A 42", "sure_until_row": 17}
    assert run_remarks([{"number": 2, "meter_away": [away], "other_meters": [other]}]) == (
        "session 2: the meter was away for 34 s at row 12 (unplugged).",
        "session 2: from row 20 on the meter that answers is A 99; before it was A 42, and a person went on; rows "
        "18 to 19 may be of either.",
    )
