"""The real screen on the driver that shows nothing: drawing, fades, the governor in the way, stopping."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from datetime import UTC, datetime

import numpy as np
import pytest

import patterns
from groundwork.clock import RealClock, VirtualClock
from panelwear.errors import ScreenFault, Stopped
from panelwear.screen import driver, window
from panelwear.screen.contract import Card, Screen
from panelwear.screen.governor import BETWEEN_STARTS_S, LEAST_FADE_S
from panelwear.screen.window import PygameScreen, judged_area_mm, open_screen, scales_whole

W, H = 320, 180


class SteppingClock(VirtualClock):
    """A virtual clock that calls itself real, so that fades are drawn, and that tells of every sleep."""

    fast = False


@pytest.fixture(autouse=True)
def own_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("SDL_VIDEODRIVER", "SDL_VIDEO_MINIMIZE_ON_FOCUS_LOSS", "SDL_WINDOWS_DPI_AWARENESS"):
        monkeypatch.setenv(name, "")
        monkeypatch.delenv(name)


def start() -> datetime:
    return datetime(2026, 2, 3, tzinfo=UTC)


@pytest.fixture
def clock() -> SteppingClock:
    return SteppingClock(start())


@pytest.fixture
def screen(clock: SteppingClock) -> Iterator[PygameScreen]:
    opened = open_screen(None, off_screen=(W, H), clock=clock)
    yield opened
    opened.close()


def field(*codes: float) -> patterns.Frame:
    rgb = (codes[0], codes[1], codes[2]) if len(codes) == 3 else (codes[0],) * 3
    return patterns.build("field", W, H, codes=rgb)


def press(screen: PygameScreen, name: str, shift: bool = False) -> None:
    import pygame

    mod = pygame.KMOD_SHIFT if shift else 0
    key = getattr(pygame, f"K_{name}")
    pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=key, mod=mod, unicode=""))


def test_it_is_a_screen(screen: PygameScreen) -> None:
    promised: Screen = screen
    assert promised.facts.off_screen
    assert (promised.facts.width_px, promised.facts.height_px) == (W, H)


def test_a_fast_clock_and_a_visible_screen_cannot_be_combined() -> None:
    with pytest.raises(ScreenFault, match="fast clock and a visible screen"):
        open_screen(0, clock=VirtualClock(start()))


def test_a_fast_clock_is_fine_where_nobody_sees() -> None:
    clock = VirtualClock(start())
    screen = open_screen(None, off_screen=(W, H), clock=clock)
    before = clock.monotonic_s()
    shown = screen.show(field(255))
    assert shown.at_s - before >= LEAST_FADE_S
    assert (screen.pixels() == 255).all()
    screen.close()


@pytest.mark.parametrize("codes", [(128.0,), (128.4375,), (10.0, 20.5, 255.0)])
def test_the_surface_holds_the_raster(screen: PygameScreen, codes: tuple[float, ...]) -> None:
    shown = screen.show(field(*codes))
    wanted = patterns.raster(field(*codes))
    assert np.array_equal(screen.pixels(), wanted)
    assert shown.frame_sha256 == hashlib.sha256(wanted.tobytes()).hexdigest()


def test_rectangles_reaching_over_the_edge_are_cut_as_in_the_raster(screen: PygameScreen) -> None:
    fills = (
        patterns.Fill(patterns.Rect(-5, -7, 30, 30), (9.0, 8.0, 7.0)),
        patterns.Fill(patterns.Rect(300, 170, 90, 90), (200.0, 1.0, 2.0)),
    )
    frame = patterns.Frame("made", W, H, (3.0, 3.0, 3.0), patterns.Rect(0, 0, W, H), fills)
    screen.show(frame)
    assert np.array_equal(screen.pixels(), patterns.raster(frame))


def test_mashing_keys_never_makes_more_than_two_big_changes_a_second(
    screen: PygameScreen, clock: SteppingClock
) -> None:
    begun, times = clock.monotonic_s(), []
    for wish in range(12):
        shown = screen.show(field(255.0 if wish % 2 == 0 else 0.0), fade_s=0.0)
        times.append(shown.at_s)
        assert shown.governed
    assert np.diff(times).min() >= BETWEEN_STARTS_S - 0.02
    assert times[-1] - begun >= 11 * BETWEEN_STARTS_S


def test_cards_on_a_bright_field_are_governed_too(screen: PygameScreen, clock: SteppingClock) -> None:
    screen.show(field(255))
    begun = clock.monotonic_s()
    big = Card(tuple(f"line {n} of a card that covers a good part of the screen" for n in range(8)), corner="centre")
    for _ in range(4):
        screen.card(big)
        screen.card(None)
    assert clock.monotonic_s() - begun >= 7 * BETWEEN_STARTS_S
    assert (screen.pixels() == 255).all()


def test_a_fade_runs_one_way_and_ends_exactly(screen: PygameScreen, clock: SteppingClock) -> None:
    seen: list[int] = []
    sleep = clock.sleep

    def watching(seconds: float) -> None:
        seen.append(int(screen.pixels()[0, 0, 0]))
        sleep(seconds)

    clock.sleep = watching  # type: ignore[method-assign]
    screen.show(field(201), fade_s=1.0)
    assert (screen.pixels() == 201).all()
    assert seen == sorted(seen)
    assert len(set(seen)) > 30
    assert max(np.diff(sorted(set(seen)))) < 20


@pytest.mark.parametrize("card", [False, True])
def test_every_kind_of_fade_ends_exactly(screen: PygameScreen, card: bool) -> None:
    kinds = ("window", "geometry", "field", "checkerboard", "pixel-checker", "stair", "spot")
    for name in (*kinds, *reversed(kinds)):
        if card:
            screen.card(Card(("a card that must leave no trace",)))
        frame = patterns.build(name, W, H, background=(30, 60, 90))
        screen.show(frame, fade_s=0.4)
        assert np.array_equal(screen.pixels(), patterns.raster(frame)), name


def test_a_fade_of_rectangles_leaves_what_does_not_change(screen: PygameScreen, clock: SteppingClock) -> None:
    screen.show(patterns.build("window", W, H, codes=(80, 80, 80), background=(40, 40, 40)))
    sleep, corners, centres = clock.sleep, set(), set()

    def watching(seconds: float) -> None:
        corners.add(int(screen.pixels()[0, 0, 1]))
        centres.add(int(screen.pixels()[H // 2, W // 2, 1]))
        sleep(seconds)

    clock.sleep = watching  # type: ignore[method-assign]
    screen.show(patterns.build("window", W, H, codes=(240, 240, 240), background=(40, 40, 40)), fade_s=0.5)
    assert corners == {40}
    assert len(centres) > 15


def test_a_small_change_comes_at_once(screen: PygameScreen, clock: SteppingClock) -> None:
    screen.show(field(128))
    clock.sleep(2)
    before = clock.monotonic_s()
    shown = screen.show(field(129))
    assert shown.at_s - before < 0.01
    assert not shown.governed


def test_escape_in_a_fade_stops_within_a_fifth_of_a_second(screen: PygameScreen, clock: SteppingClock) -> None:
    screen.show(field(0))
    sleep = clock.sleep
    pressed: list[float] = []

    def pressing(seconds: float) -> None:
        sleep(seconds)
        if not pressed and screen.pixels()[0, 0, 0] > 60:
            pressed.append(clock.monotonic_s())
            press(screen, "ESCAPE")

    clock.sleep = pressing  # type: ignore[method-assign]
    with pytest.raises(Stopped):
        screen.show(field(255), fade_s=5.0)
    assert clock.monotonic_s() - pressed[0] <= 0.2
    assert screen.pixels().max() == 0


def test_escape_while_the_governor_waits_stops_too(screen: PygameScreen, clock: SteppingClock) -> None:
    screen.show(field(255))
    press(screen, "ESCAPE")
    before = clock.monotonic_s()
    with pytest.raises(Stopped):
        screen.show(field(0))
    assert clock.monotonic_s() - before <= 0.2
    assert screen.pixels().max() == 0


def test_keys_pressed_in_a_fade_are_not_lost(screen: PygameScreen) -> None:
    press(screen, "RIGHT", shift=True)
    screen.show(field(255))
    assert [(e.kind, e.key, e.shift) for e in screen.poll()] == [("key", "right", True)]


def test_cards_and_outlines_leave_no_trace(screen: PygameScreen) -> None:
    screen.show(field(30))
    screen.card(Card(("step 3 of 96",), title="harbour-desk", share_done=0.3))
    assert (screen.pixels() != 30).any()
    screen.card(None)
    assert (screen.pixels() == 30).all()
    screen.outlines([(-10, 5, 40, 40), (200, 100, 500, 500), (900, 900, 5, 5)])
    assert (screen.pixels() != 30).any()
    screen.show(field(30))
    assert (screen.pixels() == 30).all()


def test_a_frame_of_another_size_is_refused(screen: PygameScreen) -> None:
    with pytest.raises(ScreenFault, match="321 x 180 pixels, the screen 320 x 180"):
        screen.show(patterns.build("field", 321, 180))


@pytest.mark.parametrize("in_a_fade", [False, True])
def test_escape_is_answered_with_black_whatever_the_governor_waits_for(clock: SteppingClock, in_a_fade: bool) -> None:
    screen = open_screen(None, off_screen=(W, H), clock=clock)
    screen.show(field(255))
    asked_s = clock.monotonic_s()
    if in_a_fade:
        clock.sleep(1.0)
        asked_s = clock.monotonic_s()
        press(screen, "ESCAPE")
        with pytest.raises(Stopped):
            screen.show(field(128), fade_s=5.0)
    if in_a_fade:
        assert clock.monotonic_s() - asked_s <= 0.2
        assert screen.pixels().max() == 0
        screen.close()
        return
    dark: list[float] = []
    flip = screen._flip

    def flipping() -> None:
        flip()
        if not dark and screen.pixels().max() == 0:
            dark.append(clock.monotonic_s())

    screen._flip = flipping  # type: ignore[method-assign]
    screen.close()
    assert 0.0 < dark[0] - asked_s <= 0.2


def test_a_key_from_before_the_window_was_there_is_dropped_and_escape_is_not(
    clock: SteppingClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    import pygame

    given: list[str] = []
    sleep = clock.sleep

    def pressing(seconds: float) -> None:
        sleep(seconds)
        for name in given:
            pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=getattr(pygame, name), mod=0, unicode=""))
        given.clear()

    clock.sleep = pressing  # type: ignore[method-assign]
    monkeypatch.setattr(window, "OFF_SCREEN_SETTLE_S", 0.3)
    given.append("K_RETURN")
    screen = open_screen(None, off_screen=(W, H), clock=clock)
    assert screen.poll() == ()
    screen.close()
    given.extend(("K_RETURN", "K_ESCAPE"))
    screen = open_screen(None, off_screen=(W, H), clock=clock)
    with pytest.raises(Stopped):
        screen.show(field(255))
    screen.close()


def test_flashes_are_judged_by_the_larger_of_the_stated_and_the_told_size() -> None:
    assert judged_area_mm((598.0, 336.0), None) == (598.0, 336.0)
    assert judged_area_mm((598.0, 336.0), (1430.0, 800.0)) == (1430.0, 800.0)
    assert judged_area_mm((598.0, 336.0), (160.0, 100.0)) == (598.0, 336.0)


def test_closing_goes_black_and_nothing_can_be_shown_after(clock: SteppingClock) -> None:
    screen = open_screen(None, off_screen=(W, H), clock=clock)
    screen.show(field(255))
    screen.close()
    screen.close()
    with pytest.raises(ScreenFault, match="closed"):
        screen.show(field(1))


def test_the_real_clock_is_obeyed_too() -> None:
    screen = open_screen(None, off_screen=(W, H), clock=RealClock())
    first = screen.show(field(60)).at_s
    second = screen.show(field(200)).at_s
    screen.close()
    assert second - first >= LEAST_FADE_S - 0.05


def test_environment_is_planned_for_x() -> None:
    plan = driver.plan_environment({"DISPLAY": ":0", "PYGAME_FORCE_SCALE": "photo"}, "linux", off_screen=False)
    assert plan.put["SDL_VIDEODRIVER"] == "x11"
    assert plan.put["SDL_FRAMEBUFFER_ACCELERATION"] == "0"
    assert plan.put["SDL_VIDEO_MINIMIZE_ON_FOCUS_LOSS"] == "0"
    assert plan.drop == ("PYGAME_FORCE_SCALE",)


def test_environment_is_planned_for_wayland_without_the_hint_that_breaks_it() -> None:
    environ = {"DISPLAY": ":0", "WAYLAND_DISPLAY": "wayland-0", "SDL_FRAMEBUFFER_ACCELERATION": "0"}
    plan = driver.plan_environment(environ, "linux", off_screen=False)
    assert plan.put["SDL_VIDEODRIVER"] == "wayland"
    assert "SDL_FRAMEBUFFER_ACCELERATION" not in plan.put
    assert "SDL_FRAMEBUFFER_ACCELERATION" in plan.drop


def test_environment_of_windows_asks_for_real_pixels() -> None:
    plan = driver.plan_environment({"SDL_WINDOWS_DPI_SCALING": "1"}, "win32", off_screen=False)
    assert plan.put["SDL_WINDOWS_DPI_AWARENESS"] == "permonitorv2"
    assert plan.drop == ("SDL_WINDOWS_DPI_SCALING",)
    assert "SDL_VIDEODRIVER" not in plan.put


@pytest.mark.parametrize("environ", [{}, {"DISPLAY": ":0", "SDL_VIDEODRIVER": "dummy"}])
def test_no_display_is_a_screen_fault(environ: dict[str, str]) -> None:
    with pytest.raises(ScreenFault, match="panelwear rehearse"):
        driver.plan_environment(environ, "linux", off_screen=False)


def test_only_whole_scales_of_wayland_count_as_exact() -> None:
    # The cases that were compared pixel by pixel on a compositor.
    assert scales_whole((3840, 2160), (2560, 1440))
    assert scales_whole((3840, 2160), (3072, 1728))
    assert scales_whole((1920, 1080), (960, 540))
    assert not scales_whole((2560, 1440), (1707, 960))
    assert not scales_whole((3840, 2160), (2194, 1234))


def test_without_a_card_the_screen_holds_the_frame_alone_and_fades_it_by_cells(screen: PygameScreen) -> None:
    screen.show(field(40))
    screen.card(Card(("a line",)))
    assert not screen._bare
    screen.card(None)
    assert screen._bare
    screen.outlines([(10, 10, 40, 40)])
    assert not screen._bare
    screen.outlines([])
    assert screen._bare
    assert (screen.pixels() == 40).all()


def test_the_screen_tells_when_its_pixels_last_changed(screen: PygameScreen, clock: SteppingClock) -> None:
    shown = screen.show(field(200))
    assert screen.changed_at_s == shown.at_s
    clock.sleep(1.0)
    screen.card(None)  # nothing lies over the frame: nothing changes
    screen.poll()
    assert screen.changed_at_s == shown.at_s
    screen.card(Card(("a line",)))
    laid_s = screen.changed_at_s
    assert laid_s > shown.at_s
    clock.sleep(1.0)
    screen.card(None)
    assert screen.changed_at_s >= laid_s + 1.0
    assert (screen.pixels() == 200).all()


def test_a_repaint_counts_as_a_change(screen: PygameScreen, clock: SteppingClock) -> None:
    import pygame

    screen.show(field(200))
    clock.sleep(2.0)
    pygame.event.post(pygame.event.Event(pygame.WINDOWEXPOSED))
    assert [event.kind for event in screen.poll()] == ["expose"]
    assert screen.changed_at_s == clock.monotonic_s()


@pytest.mark.parametrize("corner", ["top-left", "bottom-right"])
def test_a_card_of_one_line_stays_one_low_line_however_long_its_text(screen: PygameScreen, corner: str) -> None:
    screen.show(field(200))
    screen.card(Card(("182.4_", "word " * 100), corner=corner, one_line=True))
    ys, xs = np.nonzero((screen.pixels() != 200).any(axis=2))
    assert ys.max() - ys.min() < 40
    assert xs.max() - xs.min() < 0.75 * W
    assert (ys.max() < H / 2) == (corner == "top-left")
    assert (xs.max() > W - 30) == (corner == "bottom-right")
