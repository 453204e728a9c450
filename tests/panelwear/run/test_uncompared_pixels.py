"""Where the display server does not tell what it shows, a run says so once and records from which row on."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from panelwear.run.session import run_checkpoint
from panelwear.screen.contract import Proof
from panelwear.screen.fake import FakeScreen
from patterns.frame import Rect
from sequences.model import CloseLook, PutProbe, Read
from tests.panelwear.run.bench import CENTRE, Stand, patch

STEPS = (PutProbe(1, 1, CENTRE), Read(2, 1, patch(40)), Read(3, 1, patch(90)), CloseLook(4))
BLIND = Proof(holds=True, unasked="the display driver 'wayland' does not tell what it shows")


@pytest.fixture
def stand(tmp_path: Path) -> Stand:
    return Stand(tmp_path / "harbour-desk", STEPS)


@pytest.mark.parametrize(("blind_from", "row"), [(1, 1), (4, 2), (5, 3)])
def test_that_pixels_cannot_be_compared_is_said_once_and_recorded(stand: Stand, blind_from: int, row: int) -> None:
    bench = stand.bench()
    screen = bench.screen
    assert isinstance(screen, FakeScreen)
    screen.facts = replace(screen.facts, off_screen=False)
    honest, asked = screen.prove, []

    def prove(around: Rect | None) -> Proof:
        asked.append(around)
        return BLIND if len(asked) >= blind_from else honest(around)

    screen.prove = prove
    run_checkpoint(bench, stand.job())

    told = [text for text in bench.operator.told if "cannot be compared" in text]
    assert len(told) == 1
    assert "'wayland'" in told[0]
    assert stand.checkpoint.session["uncompared"] == [{"from_row": row, "why": BLIND.unasked}]


def test_where_pixels_are_compared_or_nobody_sees_them_nothing_is_said_of_it(stand: Stand) -> None:
    for off_screen in (False, True):
        bench = stand.bench()
        screen = bench.screen
        assert isinstance(screen, FakeScreen)
        screen.facts = replace(screen.facts, off_screen=off_screen)
        if off_screen:
            screen.prove = lambda around: replace(BLIND, unasked="nobody sees it")
        run_checkpoint(bench, stand.job())
        assert not any("cannot be compared" in text for text in bench.operator.told)
        assert "uncompared" not in stand.checkpoint.session
