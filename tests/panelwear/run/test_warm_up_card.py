"""The warm-up tells what it waits for, and its words wander; a steady panel ends it early."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from panelwear.readings.row import Row
from panelwear.run.session import run_checkpoint
from panelwear.run.steps.warm_up_card import corner_at, warm_up_card
from panelwear.screen.fake import FakeScreen
from probe_io.reading import Idle, Reading
from sequences.model import CloseLook, Place, PutProbe, WarmUp
from tests.panelwear.run.bench import CENTRE, PixelProbe, Stand, patch
from tests.panelwear.run.test_disturbances import on_frame

SIZE = (320, 200)
MID = patch(128, purpose="reference", n=2)
STEPS = (PutProbe(1, 1, CENTRE), WarmUp(2, 20.0, 60.0, 100.0, MID), CloseLook(3))


class ScatteringProbe(PixelProbe):
    """A probe of 0.3 % scatter, over a panel that does not move at all."""

    def __init__(self, screen: FakeScreen) -> None:
        super().__init__(screen)
        self.random = np.random.default_rng(3)

    def measure(self, integration_s: float | None = None, idle: Idle | None = None) -> Reading:
        honest = super().measure(integration_s, idle)
        scale = 1 + 0.003 * self.random.standard_normal()
        X, Y, Z = (scale * (value or 0.0) for value in (honest.X_cd_m2, honest.Y_cd_m2, honest.Z_cd_m2))
        return replace(honest, X_cd_m2=X, Y_cd_m2=Y, Z_cd_m2=Z)


def warmed(folder: Path, then=None) -> tuple[Stand, FakeScreen, list[Row]]:
    stand = Stand(folder, STEPS)
    bench = stand.bench()
    assert isinstance(bench.screen, FakeScreen)
    bench.probe = ScatteringProbe(bench.screen)
    if then is not None:
        then(bench.screen)
    run_checkpoint(bench, replace(stand.job(), unattended=then is None))
    return stand, bench.screen, stand.checkpoint.rows()


def test_a_steady_panel_ends_it_at_the_least_time_however_the_probe_scatters(tmp_path: Path) -> None:
    stand, _, rows = warmed(tmp_path / "harbour-desk")

    found = stand.checkpoint.session["warm_up"]
    assert found["verdict"] == "settled"
    assert found["minutes"] <= 24.0
    looks = [sum(row.purpose == "warm-up" and row.repeat == 1 for row in rows[:n]) for n in range(len(rows))]
    assert looks[-1] >= 10
    assert max(row.repeat for row in rows if row.purpose == "warm-up") > 5


def test_the_card_tells_light_limit_and_minutes_and_wanders_round_the_panel(tmp_path: Path) -> None:
    _, screen, _ = warmed(tmp_path / "harbour-desk")

    cards = [card for card in screen.note.cards if card is not None and card.title.startswith("Warm-up")]
    assert "waits for the first ten minutes of readings" in cards[0].lines
    assert any("at least 20 min, at most 60 min" in line for line in cards[0].lines)
    assert any(line.startswith("light: ") and "limit 0.10 %" in line for line in cards[-1].lines)
    corners = [card.corner for card in cards]
    assert set(corners) == {"bottom-left", "bottom-right", "top-right", "top-left"}
    assert max(map(corners.count, set(corners))) < 0.4 * len(corners)


def test_the_card_keeps_out_of_the_corner_the_probe_sits_in() -> None:
    probe = Place("x900y900", (288.0, 180.0))

    assert {corner_at(10.0 * step, probe, SIZE) for step in range(12)} == {"bottom-left", "top-right", "top-left"}


def test_without_readings_it_says_that_it_goes_by_time() -> None:
    card = warm_up_card(65.0, "left", (1.0, 20.0, 20.0), (), "top-left")

    assert card.title == "Warm-up, 1:05 left"
    assert card.lines[:2] == ("by time: nothing reads whether the panel is steady", "1 of 20 min")


def test_a_pause_warms_nothing_up(tmp_path: Path) -> None:
    def pause(screen: FakeScreen) -> None:
        on_frame(screen, 20, lambda: (screen.press("p"), screen.press("return", after_s=300.0)))

    stand, _, rows = warmed(tmp_path / "harbour-desk", pause)

    own = [row for row in rows if row.purpose == "warm-up"]
    passed_min = (own[-1].monotonic_s - own[0].monotonic_s) / 60
    assert passed_min - stand.checkpoint.session["warm_up"]["minutes"] > 4.5
