"""What happens at the screen while a session runs: hidden windows, repaints, pauses, cards, keys."""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from groundwork.clock import VirtualClock
from panelwear.errors import ProbeFault, Stopped
from panelwear.readings.row import Row
from panelwear.readings.store import Store
from panelwear.run.engine import Engine
from panelwear.run.messages import UNATTENDED_S, Measure, Show, Wait
from panelwear.run.session import run_checkpoint
from panelwear.run.state import RunState
from panelwear.screen.contract import Card
from panelwear.screen.fake import FakeScreen
from panelwear.screen.operator import Awaited
from panelwear.screen.person import ScreenOperator
from panelwear.screen.terminal import Terminal
from patterns import build
from probe_io.open import open_probe
from sequences.model import CloseLook, Hold, PutProbe, Read
from tests.panelwear.run.bench import CENTRE, PixelProbe, Stand, patch

STEPS = (PutProbe(1, 1, CENTRE), Read(2, 1, patch(40)), Read(3, 1, patch(90)), CloseLook(4))
CARD = Card(("5/96  ramp/centre/grey/c40/full", "about 9 min left"))


class SteppingClock(VirtualClock):
    """A virtual clock that calls itself real, so that waits are waited through and cards are laid."""

    fast = False


def on_frame(screen: FakeScreen, number: int, then: Callable[[], None]) -> None:
    """Do something when a screen has shown so many frames."""
    honest = screen.show

    def show(frame, fade_s=None, card=None):
        shown = honest(frame, fade_s, card)
        if len(screen.note.shown) == number:
            then()
        return shown

    screen.show = show


def fake(stand_bench) -> FakeScreen:
    assert isinstance(stand_bench.screen, FakeScreen)
    return stand_bench.screen


@pytest.fixture
def stand(tmp_path: Path) -> Stand:
    return Stand(tmp_path / "harbour-desk", STEPS)


def test_a_window_hidden_while_a_patch_settles_is_waited_for_and_shown_anew(stand: Stand) -> None:
    bench = stand.bench()
    screen = fake(bench)

    def hide() -> None:
        screen.happen("focus-lost")
        screen.happen("hidden")
        screen.happen("expose", after_s=40.0)

    on_frame(screen, 2, hide)
    began_s = bench.clock.monotonic_s()

    run_checkpoint(bench, stand.job())

    rows = stand.checkpoint.rows()
    assert [row.flags for row in rows] == ["ok"] * 4
    assert rows[0].monotonic_s - began_s > 40.0
    assert rows[0].settled_s >= 1.0
    assert sum("hidden" in text for text in bench.operator.told) == 1


def test_escape_is_obeyed_while_a_hidden_window_is_waited_for(stand: Stand) -> None:
    bench = stand.bench()
    screen = fake(bench)

    def hide() -> None:
        screen.happen("hidden")
        screen.press("escape", after_s=30.0)

    on_frame(screen, 2, hide)
    with pytest.raises(Stopped):
        run_checkpoint(bench, stand.job())
    assert stand.checkpoint.rows() == []


def test_a_window_that_stays_hidden_with_nobody_there_is_flagged_and_ends_after_three_tries(stand: Stand) -> None:
    bench = stand.bench()
    on_frame(fake(bench), 2, lambda: fake(bench).happen("hidden"))

    with pytest.raises(ProbeFault, match="the screen was disturbed"):
        run_checkpoint(bench, replace(stand.job(), unattended=True))

    assert [row.flags.split()[0] for row in stand.checkpoint.rows()] == ["disturbed"] * 3


def test_a_focus_that_stays_elsewhere_all_evening_blocks_nothing(stand: Stand) -> None:
    bench = stand.bench()
    on_frame(fake(bench), 2, lambda: fake(bench).happen("focus-lost"))

    run_checkpoint(bench, stand.job())

    assert [row.flags for row in stand.checkpoint.rows()] == ["ok"] * 4
    assert not any("hidden" in text for text in bench.operator.told)


def test_a_focus_lost_in_a_reading_disturbs_that_reading_alone(stand: Stand) -> None:
    bench = stand.bench()
    assert isinstance(bench.probe, PixelProbe)
    bench.probe.before = lambda count: bench.screen.happen("focus-lost") if count == 2 else None

    run_checkpoint(bench, stand.job())

    assert [row.flags for row in stand.checkpoint.rows()] == ["ok", "disturbed", "retried", "ok", "ok"]


def test_a_window_over_the_patch_is_named_waited_for_and_the_patch_settles_anew(stand: Stand) -> None:
    bench = stand.bench()
    screen = fake(bench)
    on_frame(screen, 2, lambda: screen.cover("the window 'harbour mail'", for_s=9.0))

    run_checkpoint(bench, stand.job())

    rows = stand.checkpoint.rows()
    assert [row.flags for row in rows] == ["ok"] * 4
    assert rows[0].settled_s >= 1.0
    assert sum("the window 'harbour mail' lies over the pattern" in text for text in bench.operator.told) == 1


def test_a_window_that_comes_in_a_reading_and_stays_disturbs_it_and_is_waited_for(stand: Stand) -> None:
    bench = stand.bench()
    assert isinstance(bench.probe, PixelProbe)
    screen = fake(bench)
    bench.probe.before = lambda count: screen.cover("the window 'mail'", for_s=30.0) if count == 2 else None

    run_checkpoint(bench, stand.job())

    rows = stand.checkpoint.rows()
    assert [row.flags for row in rows] == ["ok", "disturbed", "retried", "ok", "ok"]
    assert "the window 'mail'" in rows[1].note


def test_a_window_that_came_and_went_within_a_reading_disturbs_it(stand: Stand) -> None:
    bench = stand.bench()
    assert isinstance(bench.probe, PixelProbe)
    screen = fake(bench)
    bench.probe.before = lambda count: screen.cover("a window that is gone again", for_s=0.0) if count == 2 else None

    run_checkpoint(bench, stand.job())

    assert [row.flags for row in stand.checkpoint.rows()] == ["ok", "disturbed", "retried", "ok", "ok"]


def test_a_window_that_never_leaves_with_nobody_there_is_flagged_and_ends_the_run(stand: Stand) -> None:
    bench = stand.bench()
    screen = fake(bench)
    on_frame(screen, 2, lambda: screen.cover("the window 'mail'"))

    with pytest.raises(ProbeFault, match="the window 'mail' lies over the pattern"):
        run_checkpoint(bench, replace(stand.job(), unattended=True))

    assert [row.flags.split()[0] for row in stand.checkpoint.rows()] == ["disturbed"] * 3


def test_escape_is_obeyed_while_another_window_lies_over_the_patch(stand: Stand) -> None:
    bench = stand.bench()
    screen = fake(bench)

    def cover() -> None:
        screen.cover("the window 'mail'")
        screen.press("escape", after_s=30.0)

    on_frame(screen, 2, cover)
    with pytest.raises(Stopped):
        run_checkpoint(bench, stand.job())
    assert stand.checkpoint.rows() == []


def test_the_whole_aperture_is_proved_before_and_after_every_reading(stand: Stand) -> None:
    bench = stand.bench()
    settings = stand.job().probe_settings
    run_checkpoint(bench, stand.job())

    proofs = fake(bench).proofs
    assert len(proofs) == 2 * len(stand.checkpoint.rows())
    for around in proofs:
        assert around is not None
        assert min(around.w, around.h) >= settings.aperture_mm  # a pixel is 1 mm here
        assert (around.x + around.w // 2, around.y + around.h // 2) == (160, 100)


def test_a_panel_that_is_switched_off_is_no_disturbance(stand: Stand) -> None:
    engine, screen, _clock = engine_of(stand)
    engine._do(Show(FIELD))
    screen.cover("the monitor was unplugged", for_s=math.inf)
    screen.happen("display-changed")

    assert not engine._do(Measure(unlit=True)).disturbed


def test_after_a_pause_the_patch_settles_its_own_time(tmp_path: Path) -> None:
    dark = replace(patch(1, n=4), settle_s=4.0)
    stand = Stand(tmp_path / "harbour-desk", (PutProbe(1, 1, CENTRE), Read(2, 1, dark), CloseLook(3)))
    bench = stand.bench()
    assert isinstance(bench.probe, PixelProbe)

    def pause(count: int) -> None:
        if count == 2:
            fake(bench).press("p")
            fake(bench).press("return", after_s=1.0)

    bench.probe.before = pause

    run_checkpoint(bench, stand.job())

    assert all(row.settled_s >= 4.0 for row in stand.checkpoint.rows())
    assert sum("paused" in text for text in bench.operator.told) == 1  # the key that goes on does not pause again
    assert "pause" in [shown.frame.pattern for shown in fake(bench).note.shown]


def test_on_a_fast_clock_a_photograph_and_its_card_last_as_long_as_an_unattended_hold_each(
    tmp_path: Path,
) -> None:
    stand = Stand(tmp_path / "harbour-desk", (Hold(1, patch(40), "a"),))
    bench = stand.bench(with_probe=False)
    began_s = bench.clock.monotonic_s()

    run_checkpoint(bench, stand.job())

    assert bench.clock.monotonic_s() - began_s == pytest.approx(2 * UNATTENDED_S)


def engine_of(stand: Stand, *, keyboard: bool = False) -> tuple[Engine, FakeScreen, SteppingClock]:
    """Make an engine between steps, on a clock that is waited through."""
    bench = stand.bench()
    clock = SteppingClock(bench.clock.utc())
    screen = FakeScreen(320, 200, clock)
    bench.screen, bench.clock = screen, clock
    if keyboard:
        bench.awaited = Awaited()
        terminal = Terminal(io.StringIO(), io.StringIO())
        bench.awaited.operator = bench.operator = ScreenOperator(screen, terminal, clock)
        bench.probe = open_probe("keyboard", ask=bench.awaited.ask, clock=clock)
    else:
        bench.probe = PixelProbe(screen)
    job = stand.job()
    state = RunState(job.panel, job.checkpoint, job.probe_settings, STEPS, job.resolver, 320, 200, 1, has_probe=True)
    state.place = CENTRE
    return Engine(bench, state, Store[Row](stand.folder / "unused.csv", Row)), screen, clock


FIELD = build("field", 320, 200, codes=(128.0,) * 3)


@pytest.mark.parametrize("seconds", [0.5, 1.0, 3.0, 4.0, 5.9])
def test_no_card_flickers_while_a_patch_settles_as_long_as_sequences_ask_for(stand: Stand, seconds: float) -> None:
    engine, screen, _clock = engine_of(stand)
    engine._do(Show(FIELD))

    engine._do(Wait(seconds, card=CARD))

    assert screen.note.cards == []
    measured = engine._do(Measure())
    assert measured.reading.requested_at_s - measured.shown.at_s == pytest.approx(seconds)


def test_the_overlay_of_a_long_wait_is_far_from_the_probe_and_gone_long_before_its_end(stand: Stand) -> None:
    engine, screen, clock = engine_of(stand)
    engine.state.place = replace(CENTRE, name="x100y900", at_px=(32.0, 180.0))
    calls: list[tuple[float, Card | None]] = []
    honest = screen.card

    def card(card: Card | None) -> None:
        honest(card)
        calls.append((clock.monotonic_s(), card))

    screen.card = card
    engine._do(Show(FIELD))
    began_s = clock.monotonic_s()

    engine._do(Wait(10.0, card=CARD))

    (up_s, laid), (down_s, gone) = calls
    assert laid is not None
    assert laid.corner == "top-right"
    assert gone is None
    assert up_s == began_s
    assert clock.monotonic_s() - began_s == pytest.approx(10.0)
    assert 2.5 <= clock.monotonic_s() - down_s <= 4.0
    measured = engine._do(Measure())
    assert measured.shown.at_s == down_s  # the row's settled_s counts from the overlay's going


def test_a_repaint_while_a_patch_settles_begins_the_wait_anew(stand: Stand) -> None:
    engine, screen, clock = engine_of(stand)
    engine._do(Show(FIELD))
    screen.happen("expose", after_s=2.0)
    began_s = clock.monotonic_s()

    engine._do(Wait(3.0))

    assert clock.monotonic_s() - began_s == pytest.approx(5.0, abs=0.05)
    measured = engine._do(Measure())
    assert measured.reading.requested_at_s - measured.shown.at_s == pytest.approx(3.0, abs=0.05)
    assert not measured.disturbed


def test_a_desktop_that_never_rests_does_not_stop_a_run(stand: Stand) -> None:
    engine, screen, clock = engine_of(stand)
    engine._do(Show(FIELD))
    for number in range(200):
        screen.happen("expose", after_s=0.5 * number)
    began_s = clock.monotonic_s()

    engine._do(Wait(3.0))

    assert clock.monotonic_s() - began_s < 13.0


def test_a_typed_reading_leaves_the_patch_alone_and_hears_of_disturbances(stand: Stand) -> None:
    engine, screen, clock = engine_of(stand, keyboard=True)
    engine._do(Show(FIELD))
    clock.sleep(3.0)
    screen.type_text("100", after_s=5.0)
    screen.press("return", after_s=6.0)
    screen.happen("expose", after_s=7.0)
    screen.press("return", after_s=8.0)

    first = engine._do(Measure())
    screen.type_text("101", after_s=1.0)
    screen.press("return", after_s=2.0)
    screen.press("return", after_s=3.0)
    second = engine._do(Measure())

    assert (first.reading.Y_cd_m2, first.disturbed) == (100.0, True)
    assert (second.reading.Y_cd_m2, second.disturbed) == (101.0, False)
    cards = [card for card in screen.note.cards if card is not None]
    assert all(card.one_line and card.corner == "bottom-right" for card in cards)
    assert second.reading.requested_at_s - second.shown.at_s > 3.0  # the line in the corner unsettles nothing


def test_p_in_a_typed_reason_is_no_wish_to_pause(stand: Stand) -> None:
    engine, screen, _clock = engine_of(stand, keyboard=True)
    engine._do(Show(FIELD))
    screen.type_text("skip probe slipped", after_s=1.0)
    screen.press("return", after_s=2.0)

    measured = engine._do(Measure())

    assert measured.reading.note == "probe slipped"
    assert not engine._noted
