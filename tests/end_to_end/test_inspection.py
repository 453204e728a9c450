"""The main job on real input: real pixels on a real X screen, real bytes over a serial line, killed and resumed."""

from __future__ import annotations

import json
import os
import signal
from collections.abc import Iterator
from pathlib import Path

import pytest

from panelwear.folder import checkpoint
from panelwear.readings.row import Row
from panelwear.upkeep.check import check
from tests.end_to_end.stand import Desk, desk, probe_server
from tests.screens import program

pytestmark = [pytest.mark.screen, pytest.mark.skipif(os.name != "posix", reason="pseudo-terminals need POSIX")]

REQUESTED = ("visit", "pair", "step", "patch", "purpose", "place", "pattern", "red", "green", "blue", "background",
             "rect_px", "lit_share", "target_cd_m2", "level_basis", "repeat", "geometry_sha256",
             "frame_sha256")  # fmt: skip


@pytest.fixture
def stand(tmp_path: Path) -> Iterator[Desk]:
    with desk(tmp_path) as made:
        yield made


def short(stand: Desk) -> tuple[str, ...]:
    return ("--sequence", str(stand.folder.parent / "short.toml"))


def requested(rows: list[Row]) -> list[tuple[object, ...]]:
    return [tuple(getattr(r, name) for name in REQUESTED) for r in rows if r.purpose != "warm-up"]


def luminance(rows: list[Row], level: str) -> float:
    found = [r.Y_cd_m2 for r in rows if r.patch.split("/")[3] == level and r.purpose != "warm-up"]
    assert found
    assert all(value is not None for value in found)
    return sum(value or 0.0 for value in found) / len(found)


@pytest.mark.slow
def test_the_whole_spot_sequence_over_a_pseudo_terminal(stand: Desk) -> None:
    """Every patch of the shipped sequence is shown, read and stored; the numbers follow the pixels."""
    with probe_server(stand.display, "--values", "screen", "--transport", "pty") as url:
        code, said = stand.run(*stand.inspect(url, "--sequence", "spot", "--warm-up", "0.02"))

    assert code == 0, said
    assert "white, CCT" in said
    rows = stand.rows()
    patches = {r.patch for r in rows}
    assert {f"loading/centre/grey/c255/w{n}" for n in (1, 2, 4, 8, 16, 32, 64, 100)} <= patches
    assert {f"primary/centre/{hue}/c255/w10" for hue in ("red", "green", "blue")} <= patches
    whites = [r for r in rows if r.patch == "loading/centre/grey/c255/w8"]
    assert whites
    assert all(6570 < (r.cct_K or 0) < 6870 for r in whites)  # the invented panel's white, x 0.3095 y 0.3248: 6719 K
    assert all("not-settled" in r.flags for r in rows if r.purpose == "white")
    assert check(stand.folder).problems == ()


@pytest.mark.slow
@pytest.mark.parametrize("dialect", ["scpi-colorimeter", "plain-lines"])
def test_readings_follow_the_pixels_in_both_dialects(stand: Desk, dialect: str) -> None:
    options = ("--values", "screen", "--transport", "pty", "--dialect", dialect)
    with probe_server(stand.display, *options) as url:
        code, said = stand.run(*stand.inspect(url, *short(stand), dialect=dialect))

    assert code == 0, said
    rows = stand.rows()
    steps = [luminance(rows, f"c{n}") for n in (40, 80, 120, 160)]
    assert steps == sorted(steps)
    assert steps[3] / steps[1] == pytest.approx((160 / 80) ** 2.2, rel=0.1)
    assert {r.flags for r in rows} == {"ok"}


@pytest.mark.slow
def test_killed_in_the_middle_and_resumed_nothing_is_lost(stand: Desk, tmp_path: Path) -> None:
    with desk(tmp_path / "whole") as whole:
        with probe_server(whole.display, "--values", "screen", "--transport", "tcp") as url:
            assert whole.run(*whole.inspect(url, *short(whole)))[0] == 0
        undisturbed = requested(whole.rows())

    with probe_server(stand.display, "--values", "screen", "--transport", "tcp") as url:
        with stand.running(*stand.inspect(url, *short(stand))) as process:
            for _ in range(3):
                process.wait_shown("window")
            process.process.send_signal(signal.SIGKILL)
            process.process.wait()
        before = stand.rows()
        code, said = stand.run("resume", str(stand.folder), "--yes", "--probe", url)

    assert before
    assert code == 0, said
    assert requested(stand.rows()) == undisturbed
    record = checkpoint.find(stand.folder, None).record
    assert len(record["sessions"][0]["segments"]) == 2
    assert check(stand.folder).problems == ()


@pytest.mark.parametrize(
    ("fault", "code", "sentence"),
    [
        ("delay:1@3x1", 0, "readings stored"),
        ("garbage@3x1", 0, "readings stored"),
        ("half@3x1", 0, "readings stored"),
        ("silence@3x1", 0, "readings stored"),
        ("low-light@3x1", 0, "readings stored"),
        ("over-range@3x0", 0, "brighter than the probe can read"),
        ("silence@3x0", 4, "readings in a row have failed"),
        ("wrong-identity", 4, "another instrument answers"),
        ("disconnect@3", 0, "the meter answers again"),
    ],
    ids=lambda value: str(value).split("@", maxsplit=1)[0],
)
@pytest.mark.slow
def test_every_fault_recovers_or_ends_with_its_own_sentence(stand: Desk, fault: str, code: int, sentence: str) -> None:
    with probe_server(stand.display, "--values", "screen", "--transport", "tcp", "--fault", fault) as url:
        ended, said = stand.run(*stand.inspect(url, *short(stand)))

    assert (ended, "Traceback" in said) == (code, False), said
    assert sentence in said
    if fault != "wrong-identity":
        rows = stand.rows()
        assert [r.row for r in rows] == list(range(1, len(rows) + 1))
        # The first answer tells who the meter is; where the third and all after it fail, one reading stands.
        assert len([r for r in rows if r.Y_cd_m2 is not None]) >= (1 if fault.endswith("x0") else 2)
        assert ("over-range" in fault) == any("over-range" in r.flags for r in rows)


def test_without_a_display_one_sentence_and_exit_code_3(stand: Desk) -> None:
    with (
        probe_server(stand.display, "--values", "screen", "--transport", "tcp") as url,
        program(None, *stand.inspect(url, *short(stand))) as process,
    ):
        code, errors = process.finish()

    assert code == 3
    assert "Traceback" not in errors


def test_a_probe_that_is_not_there_is_exit_code_4(stand: Desk) -> None:
    code, said = stand.run(*stand.inspect("socket://127.0.0.1:9", *short(stand)))

    assert code == 4
    assert "Traceback" not in said


@pytest.mark.slow
def test_the_checkpoint_tells_screen_probe_and_seed(stand: Desk) -> None:
    with probe_server(stand.display, "--values", "screen", "--transport", "tcp") as url:
        assert stand.run(*stand.inspect(url, *short(stand), "--seed", "11"))[0] == 0

    record = checkpoint.find(stand.folder, None).record
    session = record["sessions"][0]
    assert (session["seed"], session["status"]) == (11, "done")
    assert (session["screen"]["width_px"], session["screen"]["scaled"]) == (640, False)
    assert session["probe"]["instrument"] == "scpi-colorimeter"
    assert json.loads((stand.folder / "checkpoints" / checkpoint.find(stand.folder, None).name /
                       "readings.csv-metadata.json").read_text())["tableSchema"]["primaryKey"] == "row"  # fmt: skip
