"""The probe is found with the real screen, and said to sit off when it does; what is shown meanwhile does not flash."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest

from panelwear.figures.checkpoint import figures_of
from panelwear.figures.load import evidence_of_session
from panelwear.folder import checkpoint
from panelwear.simulation.screen_light import grab
from tests.end_to_end.stand import BRIEF, Desk, desk, probe_server

pytestmark = [
    pytest.mark.screen,
    pytest.mark.slow,
    pytest.mark.skipif(os.name != "posix", reason="needs an X server"),
]

OFF_PX = 6
ONE_PLACE = f"""
name = "one-place"
description = "One placement and one patch, for tests."
{BRIEF}
[[steps]]
kind = "place"
at = "centre"
[[steps]]
kind = "read"
  [[steps.patches]]
  group = "window"
  codes = [255]
  share = 0.1
  purpose = "white"
"""
SWING_CD_M2 = 20.0
"""A change that counts towards a flash (ITU-R BT.1702)."""
PEAK_CD_M2 = 250.0


@pytest.fixture
def stand(tmp_path: Path) -> Iterator[Desk]:
    with desk(tmp_path) as made:
        (tmp_path / "one-place.toml").write_text(ONE_PLACE, encoding="utf-8")
        yield made


@contextmanager
def watched(display: str, every_s: float = 0.1) -> Iterator[list[tuple[float, np.ndarray]]]:
    """Look at a grid of the screen's points all the while; each look is (time, luminances in cd/m²)."""
    seen: list[tuple[float, np.ndarray]] = []
    done = threading.Event()

    def look() -> None:
        while not done.wait(every_s):
            points = grab(display)[10::40, 10::40].astype(np.float64) / 255
            light = PEAK_CD_M2 * (points**2.2) @ np.array([0.2126, 0.7152, 0.0722])
            seen.append((time.monotonic(), light.ravel()))

    watcher = threading.Thread(target=look)
    watcher.start()
    try:
        yield seen
    finally:
        done.set()
        watcher.join()


def swings(luminances: np.ndarray) -> int:
    """Count the rises and falls of at least 20 cd/m² between turning points of one place."""
    count, turn, way = 0, luminances[0], 0
    for value in luminances[1:]:
        if (way >= 0 and value <= turn - SWING_CD_M2) or (way <= 0 and value >= turn + SWING_CD_M2):
            way = 1 if value > turn else -1
            count += 1
            turn = value
        elif way == 0 or (value - turn) * way > 0:
            turn = value if way else turn
    return count


def most_swings_in_a_second(seen: list[tuple[float, np.ndarray]]) -> int:
    times = np.array([t for t, _ in seen])
    light = np.stack([values for _, values in seen])
    worst = 0
    for start in times:
        inside = light[(times >= start) & (times < start + 1.0)]
        worst = max(worst, *(swings(inside[:, point]) for point in range(light.shape[1])))
    return worst


def test_swings_are_counted() -> None:
    assert swings(np.array([0.0, 100.0, 0.0, 100.0])) == 3
    assert swings(np.array([0.0, 10.0, 0.0, 19.0])) == 0
    assert swings(np.array([0.0, 8.0, 16.0, 24.0, 40.0, 15.0])) == 2


@pytest.mark.slow
def test_a_probe_six_pixels_off_is_found_there_without_flashing_and_its_figures_know(stand: Desk) -> None:
    sequence = str(stand.folder.parent / "one-place.toml")
    display = stand.display.environment()["DISPLAY"]
    looks = []
    for hours, x in (("500", 320), ("900", 320 + OFF_PX)):
        with probe_server(stand.display, "--values", "screen", "--at", f"{x},180") as url:
            words = [
                w if w != "500" else hours for w in stand.inspect(url, "--sequence", sequence, "--locate", "--sure")
            ]
            with watched(display) as seen:
                code, said = stand.run(*words)
        assert code == 0, said
        looks.append(seen)
        if hours == "500":
            assert stand.run("close", str(stand.folder))[0] == 0

    pitch_mm = 596.7 / 640
    assert f"The probe sits {OFF_PX * pitch_mm:.1f} mm from where it sat last time" in said
    assert "to the left" in said
    found = checkpoint.find(stand.folder, None)
    stored = found.session["placements"]["1"]
    # The offset is right to 0.1 mm, as is wanted of the centre.
    assert stored["offset_mm"] == pytest.approx([OFF_PX * pitch_mm, 0.0], abs=0.1)
    assert stored["diameter_mm"] == pytest.approx(10.0, rel=0.02)
    assert sum(row.purpose == "locate" for row in found.rows()) <= 40
    figures = figures_of(evidence_of_session(stand.folder, found.name).now)
    parts = {part.name: part for part in figures["white.Y"].components}
    assert parts["placement offset"].note.startswith(f"{OFF_PX * pitch_mm:.1f} mm from last time")
    for seen in looks:
        assert len(seen) > 50
        # At most one change in half a second may begin; BT.1702 and WCAG 2.3.1 allow three flashes, six changes.
        assert most_swings_in_a_second(seen) <= 2


OUTSIDE = "20,20"
"""Where a 10 % window in the middle does not reach."""


@pytest.mark.slow
@pytest.mark.parametrize("locating", [("--locate",), ()])
def test_a_head_outside_the_window_is_not_stored_as_ok(stand: Desk, locating: tuple[str, ...]) -> None:
    sequence = str(stand.folder.parent / "one-place.toml")
    with probe_server(stand.display, "--values", "screen", "--at", OUTSIDE) as url:
        code, said = stand.run(*stand.inspect(url, "--sequence", sequence, *locating))
    assert code == 4, said
    assert ("off the target: move it" if locating else "black where light is due") in said
    white = [row for row in stand.rows() if row.purpose not in {"locate", "warm-up", "settling"}]
    assert [row for row in white if row.flags.split()[0] == "ok"] == []
    assert bool(white) is not bool(locating)
    assert checkpoint.find(stand.folder, None).session["status"] == "stopped"
