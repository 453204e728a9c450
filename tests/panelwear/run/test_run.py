"""A whole session through the engine, undisturbed, disturbed, killed and resumed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from panelwear.errors import ProbeFault, UsageError
from panelwear.folder import checkpoint
from panelwear.readings.row import Row
from panelwear.run.session import resume_checkpoint, run_checkpoint, screen_differences
from sequences.model import CloseLook, PutProbe, Read
from tests.panelwear.run.bench import CENTRE, PixelProbe, Stand, patch

REQUESTED = ("row", "visit", "pair", "step", "patch", "purpose", "place", "pattern", "red", "green", "blue",
             "background", "rect_px", "lit_share", "target_cd_m2", "level_basis", "repeat", "geometry_sha256",
             "frame_sha256", "flags")  # fmt: skip


class PowerCutError(Exception):
    """Stands for a kill: nothing of the program runs after it but the operating system."""


def requested(rows: list[Row]) -> list[tuple[object, ...]]:
    return [tuple(getattr(row, name) for name in REQUESTED) for row in rows]


def cut_at(number: int):
    def before(count: int) -> None:
        if count == number:
            raise PowerCutError

    return before


def test_every_read_step_leaves_its_readings_in_order(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk")

    outcome = run_checkpoint(stand.bench(), stand.job())

    rows = stand.checkpoint.rows()
    assert [row.row for row in rows] == list(range(1, 17))
    assert [row.patch.split("/")[3] for row in rows[:8]] == [
        "c128",
        "c128",
        "c40",
        "c40",
        "c200",
        "c200",
        "c128",
        "c128",
    ]
    assert [row.pair for row in rows[8:]] == [f"badge.{n}" for n in (1, 1, 2, 2, 3, 3, 4, 4)]
    assert [row.Y_cd_m2 for row in rows[:3]] == [128.0, 128.0, 40.0]
    assert outcome.rows == tuple(rows)


def test_answers_probe_and_screen_stand_in_the_checkpoint(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk")

    run_checkpoint(stand.bench(), stand.job())

    stored = checkpoint.load(stand.checkpoint.directory).record
    assert stored["answers"]["brightness"] == "60"
    assert stored["sessions"][0]["status"] == "done"
    assert stored["sessions"][0]["probe"]["serial"] == "42"
    assert stored["sessions"][0]["screen"]["width_px"] == 320
    assert (stand.checkpoint.directory / "sequence.toml").read_bytes() == b"# small\n"


def test_the_reference_is_read_with_the_probe_lifted_in_between(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk")
    bench = stand.bench()

    run_checkpoint(bench, stand.job())

    assert bench.operator.places == ["centre", "badge", "centre", "centre", "badge"]


@pytest.mark.parametrize("kill_at", range(1, 17))
def test_a_run_killed_anywhere_and_resumed_asks_for_the_same_as_an_undisturbed_one(
    tmp_path: Path, kill_at: int
) -> None:
    whole = Stand(tmp_path / "whole")
    run_checkpoint(whole.bench(), whole.job())
    broken = Stand(tmp_path / "broken")
    with pytest.raises(PowerCutError):
        run_checkpoint(broken.bench(cut_at(kill_at)), broken.job())

    reopened = checkpoint.load(broken.checkpoint.directory)
    resume_checkpoint(broken.bench(), replace(broken.job(), checkpoint=reopened))

    assert requested(reopened.rows()) == requested(whole.checkpoint.rows())
    assert len(reopened.session["segments"]) == 2


def test_rows_of_an_unfinished_quadruple_are_kept_beside(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk")
    with pytest.raises(PowerCutError):
        run_checkpoint(stand.bench(cut_at(14)), stand.job())
    before = stand.checkpoint.rows()

    bench = stand.bench()
    resume_checkpoint(bench, stand.job())

    aside = stand.checkpoint.directory / "readings.set-aside-1.csv"
    assert aside.read_text(encoding="utf-8").count("\n") == 1 + len(before) - 8
    assert bench.probe is not None
    assert isinstance(bench.probe, PixelProbe)
    assert bench.probe.count == 8


def test_a_torn_last_line_is_cut_and_kept(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk")
    with pytest.raises(PowerCutError):
        run_checkpoint(stand.bench(cut_at(6)), stand.job())
    path = stand.checkpoint.readings_path
    path.write_bytes(path.read_bytes() + b"6,1,1,,2026-02-0")

    resume_checkpoint(stand.bench(), stand.job())

    assert (stand.checkpoint.directory / "readings.torn-1.csv").read_bytes() == b"6,1,1,,2026-02-0"
    assert len(stand.checkpoint.rows()) == 16


def test_a_disturbed_reading_is_stored_flagged_and_repeated(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk")
    bench = stand.bench()
    assert isinstance(bench.probe, PixelProbe)
    bench.probe.before = lambda count: bench.screen.happen("expose") if count == 3 else None

    run_checkpoint(bench, stand.job())

    rows = stand.checkpoint.rows()
    assert (rows[2].flags, rows[2].repeat) == ("disturbed", 1)
    assert (rows[3].flags, rows[3].repeat) == ("retried", 1)
    assert len(rows) == 17


def test_without_a_probe_the_sequence_is_shown_and_nothing_is_read(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk")

    run_checkpoint(stand.bench(with_probe=False), stand.job())

    assert stand.checkpoint.rows() == []
    assert stand.checkpoint.session["status"] == "done"


def test_a_closed_checkpoint_takes_no_more_sessions(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk")
    run_checkpoint(stand.bench(), stand.job())
    stand.checkpoint.close(stand.bench().clock.utc())

    with pytest.raises(UsageError, match="closed"):
        run_checkpoint(stand.bench(), stand.job())


def test_a_probe_that_never_answers_ends_the_run_with_a_sentence_and_the_rows_stay(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk")
    bench = stand.bench()
    assert isinstance(bench.probe, PixelProbe)
    honest = bench.probe.measure

    def silent(integration_s: float | None = None, idle: object = None):
        reading = honest(integration_s)
        return reading if bench.probe.count < 3 else replace(reading, Y_cd_m2=None, note="no reply in 1 s")

    bench.probe.measure = silent

    with pytest.raises(ProbeFault, match="no reply in 1 s"):
        run_checkpoint(bench, replace(stand.job(), unattended=True))

    rows = stand.checkpoint.rows()
    assert [row.Y_cd_m2 for row in rows] == [128.0, 128.0, None, None, None]
    assert stand.checkpoint.session["status"] == "stopped"


def test_a_disturbance_while_the_probe_is_located_is_read_again(tmp_path: Path) -> None:
    steps = (PutProbe(1, 1, CENTRE), Read(2, 1, patch(40)), CloseLook(3))
    stand = Stand(tmp_path / "harbour-desk", steps)
    bench = stand.bench()
    assert isinstance(bench.probe, PixelProbe)
    bench.probe.before = lambda count: bench.screen.happen("expose") if count == 2 else None
    bench.operator.answers["probe_off"] = "go on"  # type: ignore[attr-defined]

    run_checkpoint(bench, replace(stand.job(), locate=True))

    rows = stand.checkpoint.rows()
    assert [r.flags for r in rows if r.purpose == "locate"][1:3] == ["disturbed", "retried"]


def test_what_of_the_screen_changed_since_the_session_began_is_said() -> None:
    then = {"name": "DP-1", "monitor_sha256": "aa", "colour_table_sha256": "bb"}
    assert screen_differences(then, dict(then)) == []
    assert screen_differences({}, then) == []  # begun where nothing tells
    assert screen_differences(then, {**then, "monitor_sha256": ""}) == []
    (sentence,) = screen_differences(then, {**then, "colour_table_sha256": "cc"})
    assert "the graphics card's colour table is another than when this session began" in sentence
    assert len(screen_differences(then, {"name": "DP-2", "monitor_sha256": "dd", "colour_table_sha256": "cc"})) == 3
