"""A probe that lies elsewhere, fell or is covered holds the run; its readings enter no figure."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from panelwear.errors import ProbeFault, Stopped
from panelwear.figures.means import TOLD_FLAGS
from panelwear.folder import checkpoint
from panelwear.panel.assumed import assumed_response
from panelwear.panel.resolve import LevelResolver
from panelwear.panel.response import Geometry
from panelwear.readings.table import UNUSABLE_FLAGS
from panelwear.run.session import Job, resume_checkpoint, run_checkpoint
from panelwear.run.steps.implausible import MOST_ASKED
from panelwear.screen.bench import Bench
from probe_io.reading import Idle, Reading
from sequences.model import CloseLook, PutProbe, Read
from tests.panelwear.run.bench import BADGE, CENTRE, PixelProbe, Stand, patch

STEPS = (PutProbe(1, 1, CENTRE), Read(2, 1, patch(128)), Read(3, 1, patch(200)), Read(4, 1, patch(128)), CloseLook(5))


class Covered(PixelProbe):
    """Sees so many times the light from reading ``first`` to ``last``."""

    times = 0.000002
    first, last = 5, 10**6

    def measure(self, integration_s: float | None = None, idle: Idle | None = None) -> Reading:
        made = super().measure(integration_s, idle)
        if not self.first <= self.count <= self.last:
            return made
        Y = self.times * (made.Y_cd_m2 or 0.0)
        return Reading(0.95 * Y, Y, 1.09 * Y, made.integration_s, made.requested_at_s, made.took_s)


def run(folder: Path, answers: dict[str, str], *, unattended: bool = False, **sees: float) -> tuple[Stand, Bench]:
    stand = Stand(folder, STEPS)
    bench = stand.bench()
    probe = Covered(bench.screen)  # type: ignore[arg-type]
    for name, value in sees.items():
        setattr(probe, name, value)
    bench.probe = probe
    bench.operator.answers.update(answers)  # type: ignore[attr-defined]
    run_checkpoint(bench, replace(stand.job(), unattended=unattended))
    return stand, bench


def flags(stand: Stand) -> list[str]:
    return [row.flags for row in stand.checkpoint.rows()]


def test_with_nobody_there_a_covered_probe_ends_the_run_and_nothing_of_it_is_ok(tmp_path: Path) -> None:
    with pytest.raises(
        ProbeFault, match=r"black where light is due.*off the target.*has its brightness been changed\?"
    ):
        run(tmp_path / "p", {}, unattended=True)
    rows = checkpoint.find(tmp_path / "p", None).rows()
    assert [row.flags.split()[0] for row in rows] == ["ok"] * 4 + ["implausible", "retried"]
    assert "implausible" in rows[-1].flags
    assert "implausible" in UNUSABLE_FLAGS


def test_one_odd_reading_is_taken_again_and_no_more(tmp_path: Path) -> None:
    stand, bench = run(tmp_path / "p", {}, unattended=True, first=5, last=5)
    assert flags(stand) == ["ok"] * 4 + ["implausible", "retried", "ok"]
    assert not [key for key, _ in bench.operator.asked if key == "implausible"]  # type: ignore[attr-defined]


def test_put_right_and_read_again(tmp_path: Path) -> None:
    stand, bench = run(tmp_path / "p", {"implausible": "read again"}, first=5, last=6)
    assert flags(stand)[4:] == ["implausible", "retried implausible", "retried", "ok"]
    assert bench.operator.places[-1] == "centre"  # type: ignore[attr-defined]


def test_what_the_person_says_is_so_counts_and_is_said(tmp_path: Path) -> None:
    stand, _ = run(tmp_path / "p", {"implausible": "it is so"}, times=0.5)
    assert flags(stand)[4:] == ["implausible", "retried implausible", "retried unexpected", "unexpected"]
    assert stand.checkpoint.session["unexpected_light"][0]["after_row"] == 6
    assert "unexpected" in TOLD_FLAGS


def test_the_person_ends_it(tmp_path: Path) -> None:
    with pytest.raises(Stopped, match="cannot be the light"):
        run(tmp_path / "p", {"implausible": "end"})


def test_black_at_the_first_placement_is_told_though_nothing_is_known(tmp_path: Path) -> None:
    with pytest.raises(ProbeFault, match="black where light is due"):
        run(tmp_path / "p", {}, unattended=True, first=1)


LEVELS = (64, 96, 128, 160, 192, 224)
LEVEL_STEPS = (PutProbe(1, 1, CENTRE), *(Read(n, 1, patch(code)) for n, code in enumerate(LEVELS, start=2)))
AWAY_STEPS = (*LEVEL_STEPS, PutProbe(8, 2, BADGE), Read(9, 2, patch(80, BADGE)), CloseLook(10))


def with_last_response(stand: Stand) -> Job:
    """Let the run know the response of an earlier checkpoint: as many cd/m² as the code."""
    points = [0.0, *map(float, LEVELS), 255.0]
    linear = assumed_response({"kind": "table", "codes": points, "cd_m2": points})
    recalled = replace(linear, geometry=Geometry("full"), told="measured in an earlier session")
    return replace(stand.job(), resolver=LevelResolver(linear, [recalled]))


def dimmed(stand: Stand, **answers: str) -> Bench:
    """A panel that was set to three fifths of its brightness."""
    bench = stand.bench()
    probe = Covered(bench.screen)  # type: ignore[arg-type]
    probe.times, probe.first = 0.6, 1
    bench.probe = probe
    bench.operator.answers.update(answers)  # type: ignore[attr-defined]
    return bench


def asked(bench: Bench) -> list[str]:
    return [answer for key, answer in bench.operator.asked if key == "implausible"]  # type: ignore[attr-defined]


def test_a_changed_brightness_is_asked_about_once_and_then_known(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "p", (*LEVEL_STEPS, CloseLook(8)))
    bench = dimmed(stand, implausible="it is so")
    run_checkpoint(bench, with_last_response(stand))
    assert len(asked(bench)) == 1
    assert flags(stand)[:2] == ["implausible", "retried implausible"]
    assert flags(stand)[2:] == ["retried unexpected", *["unexpected"] * (2 * len(LEVELS) - 1)]
    assert stand.checkpoint.session["unexpected_light"][0]["light_scale"] == pytest.approx(0.6, rel=1e-6)


def test_a_resumed_run_still_knows_the_brightness_the_person_told(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "p", AWAY_STEPS)
    bench = dimmed(stand, implausible="it is so")

    def unplugged(count: int) -> None:
        if len([row for row in stand.checkpoint.rows() if row.visit == 1]) == 2 + 2 * len(LEVELS):
            raise ProbeFault("unplugged")

    bench.probe.before = unplugged  # type: ignore[union-attr]
    with pytest.raises(ProbeFault, match="unplugged"):
        run_checkpoint(bench, with_last_response(stand))
    again = dimmed(stand)
    resume_checkpoint(again, replace(with_last_response(stand), unattended=True))
    assert asked(again) == []
    assert flags(stand)[-2:] == ["unexpected", "unexpected"]


def test_wear_of_fifteen_percent_since_the_last_checkpoint_stops_nothing(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "p", (*LEVEL_STEPS, CloseLook(8)))
    bench = dimmed(stand)
    bench.probe.times = 0.85  # type: ignore[union-attr]
    run_checkpoint(bench, replace(with_last_response(stand), unattended=True))
    assert set(flags(stand)) == {"ok"}


def test_who_never_puts_it_right_is_not_asked_for_ever(tmp_path: Path) -> None:
    with pytest.raises(ProbeFault, match="and so again"):
        run(tmp_path / "p", {"implausible": "read again"})
    rows = checkpoint.find(tmp_path / "p", None).rows()
    assert len([row for row in rows if "implausible" in row.flags]) == 2 * (MOST_ASKED + 1)
