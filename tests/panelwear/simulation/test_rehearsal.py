"""The rehearsal: real engine, link and files on a simulated panel."""

from __future__ import annotations

import json
import os
import re
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from groundwork.clock import VirtualClock
from panelwear.errors import FileFault, ScreenFault
from panelwear.figures.load import load_evidence
from panelwear.folder.checkpoint import all_of
from panelwear.folder.panel import load_panel
from panelwear.screen.fake import FakeScreen
from panelwear.screen.operator import Progress
from panelwear.simulation.bench import WatchedScreen, off_screen
from panelwear.simulation.probe import DEFAULT_PROBE
from panelwear.simulation.rehearsal import Rehearsed, Wish, check, make_panel_folder, rehearse
from panelwear.simulation.result import RehearsalResult, result_of
from patterns.registry import build
from tests.documents.tables import table, text_of

TINY = str(Path(__file__).with_name("tiny.toml"))
START = datetime(2026, 1, 5, tzinfo=UTC)


def run(folder: Path, seed: int = 1, hours: tuple[float, ...] = (0.0, 4400.0)) -> tuple[Rehearsed, ...]:
    return rehearse(make_panel_folder(folder), Wish(seed, TINY, hours), lambda _line: None)


@pytest.fixture(scope="module")
def once(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, tuple[Rehearsed, ...]]:
    folder = tmp_path_factory.mktemp("once") / "harbour-desk"
    return folder, run(folder)


def test_it_leaves_closed_checkpoints_at_their_hours_and_dates(once: tuple[Path, tuple[Rehearsed, ...]]) -> None:
    there = all_of(once[0])
    assert [c.name for c in there] == ["2026-01-05-h0", "2027-01-07-h4400"]
    assert all(c.is_closed and not c.changed_since_close() for c in there)
    assert [c.record["cycles"] for c in there] == [0, 1]
    assert there[1].record["answers"]["since_cycle_h"] == "1800"


def test_readings_came_over_a_socket_from_the_surfaces_pixels(once: tuple[Path, tuple[Rehearsed, ...]]) -> None:
    session = all_of(once[0])[0].session
    assert session["probe"]["instrument"] == "scpi-colorimeter"
    assert session["probe"]["reply"].count(",") == 3  # four fields, IEEE 488.2 *IDN?
    assert session["screen"]["driver"] == "dummy"
    assert session["screen"]["off_screen"] is True
    assert (session["screen"]["width_px"], session["screen"]["height_px"]) == (1280, 720)


def test_every_key_and_word_it_writes_stands_in_the_docs(once: tuple[Path, tuple[Rehearsed, ...]]) -> None:
    described = set(re.findall(r"`(\w+)`", text_of("docs/panel-folder.md")))
    purposes = {row["purpose"] for row in table("docs/csv.md", "purpose")}
    geometries = {row["geometry"] for row in table("docs/csv.md", "geometry")}
    for found in all_of(once[0]):
        (session,) = found.record["sessions"]
        written = {*found.record, *session, *session["segments"][0], *found.record["answers"]}
        written |= {*found.record["readings"], *session["probe"]}
        assert written - described == set()
        rows = found.rows()
        assert {row.purpose for row in rows} - purposes == set()
        assert {re.sub(r"^w\d.*|^check.*", "w10", row.patch.split("/")[4]) for row in rows} - geometries == set()


@pytest.fixture(scope="module")
def result(once: tuple[Path, tuple[Rehearsed, ...]]) -> RehearsalResult:
    facts = load_panel(once[0]).facts()
    return result_of(load_evidence(once[0]), facts, [one.true_values for one in once[1]])


def test_what_is_read_agrees_with_what_is_true(result: RehearsalResult) -> None:
    for (_, read), true in zip(result.figure("white.Y"), result.true_values, strict=True):
        # Session scale and placement with their warm-up rest: within four standard uncertainties.
        assert read.value / true["white_XYZ"][1] == pytest.approx(1.0, abs=4 * 0.0055)
        # With the session's scale known, placement, repeatability and a minute's warm-up are left.
        scale = true["probe_session"]["scale"]
        assert read.value / scale / true["white_XYZ"][1] == pytest.approx(1.0, abs=0.015)


def test_zones_are_found_with_their_signs(result: RehearsalResult) -> None:
    assert result.since_baseline is not None
    read = {row.name.removeprefix("zone/"): row.change.step for row in result.since_baseline.rows
            if row.name.startswith("zone/")}  # fmt: skip
    assert set(read) >= {"vessel-list", "clock-badge"}
    assert read["vessel-list"].value < -2
    for zone, step in read.items():
        if zone != "route-line":  # narrower than the aperture, which this folder does not take out
            assert abs(step.value - result.true_change(zone)) < 3 * step.u
            assert step.u < 1.0


def test_same_seed_same_readings(once: tuple[Path, tuple[Rehearsed, ...]], tmp_path: Path) -> None:
    again = run(tmp_path / "harbour-desk", hours=(0.0,))
    first, second = once[1][0].checkpoint.table(), again[0].checkpoint.table()
    assert np.array_equal(first.XYZ, second.XYZ)
    assert list(first.patch) == list(second.patch)
    assert np.array_equal(first.monotonic_s, second.monotonic_s)


def test_another_seed_reads_otherwise(once: tuple[Path, tuple[Rehearsed, ...]], tmp_path: Path) -> None:
    other = run(tmp_path / "harbour-desk", seed=2, hours=(0.0,))
    first, second = (r[0].checkpoint.table() for r in (once[1], other))
    white = "ramp/centre/grey/c255/w10"
    assert abs(second.Y[second.patch == white].mean() / first.Y[first.patch == white].mean() - 1) > 1e-4


def test_the_room_step_sees_the_covered_probe_and_the_switched_off_panel(
    once: tuple[Path, tuple[Rehearsed, ...]],
) -> None:
    table = once[1][0].checkpoint.table()
    for purpose in ("probe-floor", "screen-off", "room"):
        rows = table.where(table.purpose == purpose)
        assert len(rows) >= 1
        assert abs(rows.Y).max() < 0.02


def test_the_off_screen_driver_is_forced_whatever_the_environment_says(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DISPLAY", ":77")
    monkeypatch.setenv("SDL_VIDEODRIVER", "x11")
    with off_screen((320, 200), VirtualClock(START), (100.0, 60.0), 300.0) as screen:
        assert screen.facts.driver == "dummy"
        assert screen.facts.off_screen
    assert os.environ["SDL_VIDEODRIVER"] == "x11"


def test_a_fast_clock_on_a_visible_screen_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    from panelwear.screen.window import open_screen

    monkeypatch.setenv("DISPLAY", ":77")
    with pytest.raises(ScreenFault, match="fast clock and a visible screen cannot be combined"):
        open_screen(clock=VirtualClock(START))


def test_progress_is_told_with_the_hours(tmp_path: Path) -> None:
    told: list[tuple[float, Progress]] = []
    folder = make_panel_folder(tmp_path / "harbour-desk")
    rehearse(folder, Wish(1, TINY, (500.0,)), lambda _line: None, lambda h, p: told.append((h, p)))
    assert {hours for hours, _ in told} == {500.0}
    assert told[-1][1].step == told[-1][1].steps


def test_a_sequence_that_is_not_there_is_said_before_anything_is_made() -> None:
    with pytest.raises(FileFault):
        check(Wish(sequence="no-such-sequence"))


def test_the_panel_folder_says_that_it_is_invented(tmp_path: Path) -> None:
    folder = make_panel_folder(tmp_path / "harbour-desk")
    text = (folder / "panel.toml").read_text(encoding="utf-8")
    assert "invented" in text
    assert all(f'"{zone}"' in text for zone in ("chart", "vessel-list", "clock-badge", "quay-camera", "route-line"))
    assert f"placement = {DEFAULT_PROBE.placement:g}" in (folder / "probe.toml").read_text(encoding="utf-8")


def test_a_watched_screen_hands_out_the_surfaces_pixels_after_every_change() -> None:
    clock = VirtualClock(START)
    screen = WatchedScreen(FakeScreen(64, 36, clock), clock)
    screen.show(build("field", 64, 36, codes=(200.0, 200.0, 200.0)))
    first = screen.pixels()
    assert (first == 200).all()
    assert screen.pixels() is first
    with pytest.raises(ValueError, match="read-only"):
        first[0, 0] = 0
    screen.show(build("field", 64, 36, codes=(10.0, 10.0, 10.0)))
    assert (screen.pixels() == 10).all()


def test_of_a_moving_picture_one_frame_is_drawn_every_ten_seconds() -> None:
    clock = VirtualClock(START)
    fake = FakeScreen(64, 36, clock)
    screen = WatchedScreen(fake, clock)
    for t_s in range(30):
        screen.show(build("warm-up", 64, 36, t_s=float(t_s)), 0.0)
        clock.sleep(1.0)
    assert len(fake.note.shown) == 3
    screen.show(build("field", 64, 36, codes=(10.0, 10.0, 10.0)))
    assert (screen.pixels() == 10).all()


def test_true_values_go_into_json(once: tuple[Path, tuple[Rehearsed, ...]]) -> None:
    data = json.loads(json.dumps([one.true_values for one in once[1]]))
    assert data[0]["checkpoint"] == "2026-01-05-h0"
    assert data[1]["retention"]["clock-badge"]["blue"] > data[1]["retention"]["vessel-list"]["blue"]
