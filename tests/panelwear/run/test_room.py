"""Black, the covered probe and the switched-off screen: what the step reads, and what figures make of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from panelwear.figures import of_checkpoint
from panelwear.figures.checkpoint import Figures
from panelwear.run.session import run_checkpoint
from panelwear.simulation.scripted import ScriptedOperator
from panelwear.uncertainty.meter import MeterTerms
from probe_io.reading import Idle, Reading
from sequences.model import PutProbe, Read, Room
from tests.panelwear.run.bench import CENTRE, PixelProbe, Stand, patch

PANEL, LAMP, ZERO = 0.08, 0.05, 0.01
STEPS = (
    PutProbe(1, 1, CENTRE),
    Room(2, patch(0, purpose="room", n=10)),
    Read(3, 1, patch(0, purpose="black", n=10)),
    Read(4, 1, patch(255, purpose="white", n=5)),
)


class DeskProbe(PixelProbe):
    """Sees pixels, the panel's own black, a lamp in the room and its own zero; hands can cover it or switch off."""

    covered = False
    panel_on = True

    def put(self, at_px: tuple[float, float]) -> None:
        pass

    def cover(self, covered: bool = True) -> None:
        self.covered = covered

    def switch_panel(self, on: bool = True) -> None:
        self.panel_on = on

    def measure(self, integration_s: float | None = None, idle: Idle | None = None) -> Reading:
        read = super().measure(integration_s, idle)
        light = (read.Y_cd_m2 or 0.0) + PANEL if self.panel_on else 0.0
        Y = ZERO if self.covered else ZERO + LAMP + light
        return replace(read, X_cd_m2=0.95 * Y, Y_cd_m2=Y, Z_cd_m2=1.09 * Y)


def run(folder: Path, *, unattended: bool = False, **answers: str) -> tuple[Figures, list[str], ScriptedOperator]:
    stand = Stand(folder / "harbour-desk", STEPS)
    bench = stand.bench()
    probe = DeskProbe(bench.screen)  # type: ignore[arg-type]
    operator = ScriptedOperator({k.replace("_", "-"): v for k, v in answers.items()}, probe)
    run_checkpoint(replace(bench, operator=operator, probe=probe), replace(stand.job(), unattended=unattended))
    meter = MeterTerms(session_scale=0, session_xy=0, placement=0)
    rows = stand.checkpoint.rows()
    return of_checkpoint(stand.checkpoint.table(), meter), [r.purpose for r in rows], operator


def test_the_light_of_room_and_probe_is_read_said_and_taken_off_black(tmp_path: Path) -> None:
    figures, purposes, operator = run(tmp_path)

    assert {"room", "probe-floor", "screen-off", "black"} <= set(purposes)
    assert figures["black"].value == pytest.approx(PANEL, abs=1e-9)
    assert "the switched-off screen reads 0.0600 cd/m²" in figures["black"].note
    assert any("more than a twentieth of black" in text for text in operator.told)
    assert figures["contrast/sequential"].value == pytest.approx((255 + PANEL) / PANEL, rel=1e-6)


def test_a_panel_that_cannot_be_switched_off_still_loses_the_probes_own_zero(tmp_path: Path) -> None:
    figures, purposes, _ = run(tmp_path, screen_off="skip")

    assert "screen-off" not in purposes
    assert figures["black"].value == pytest.approx(PANEL + LAMP, abs=1e-9)


def test_with_nobody_there_no_lit_screen_is_passed_off_as_dark(tmp_path: Path) -> None:
    figures, purposes, _ = run(tmp_path, unattended=True)

    assert not {"probe-floor", "screen-off"} & set(purposes)
    assert figures["black"].value == pytest.approx(PANEL + LAMP + ZERO, abs=1e-9)
    assert figures["black"].note == ""
