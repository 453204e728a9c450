"""Pages as light: turned over as fast as keys go they do not flash, and Escape makes them dark."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import numpy as np
import pytest

from benchmarks.support.flash_counter import FlashCounter
from groundwork.clock import VirtualClock
from panelwear.cautions import CAUTIONS
from panelwear.errors import Stopped
from panelwear.run import meter
from panelwear.run.pages import Held, held_question
from panelwear.run.steps import find_probe, implausible, without_light
from panelwear.run.steps.target import WAYS as NO_READING_WAYS
from panelwear.screen.caution import caution_page
from panelwear.screen.form import begun, left, with_text
from panelwear.screen.form_page import page_of
from panelwear.screen.governor import Governor, Viewing
from panelwear.screen.operator import Inquiry
from panelwear.screen.page import Item, Items, Page
from panelwear.screen.questions import QUESTIONS
from panelwear.screen.sheet import Sheet
from panelwear.screen.window import PygameScreen, open_screen
from patterns.frame import Picture

pygame: Any = pytest.importorskip("pygame")
W, H = 640, 360
STRIDE = 4
FRAME_S = 1 / 60
MOST = 3.0
ITEMS = Items(tuple(Item(f"row{n}", "One of the panels that are known", "1460 h of use") for n in range(6)))
PAGES = (caution_page(CAUTIONS), Page("Panels", (ITEMS,), chosen="row2", room="lit"))


def drawn(page: Page) -> Picture:
    surface = pygame.Surface((W, H), depth=32)
    Sheet(surface, page, Viewing(W, H)).draw()
    return np.ascontiguousarray(pygame.surfarray.array3d(surface).transpose(1, 0, 2))


def turned(pictures: list[Picture], every_s: float, *, free: bool) -> float:
    """Turn pages over in turn, and return the most flashes in a second."""
    governor, counter, at_s = Governor(Viewing(W, H)), FlashCounter(300.0), 0.0
    now = np.zeros((H, W, 3))
    governor.took(now[governor.points.y, governor.points.x].astype(np.uint8), 0.0, 0.0, big=True)
    for target in pictures:
        codes = target[governor.points.y, governor.points.x]
        permit = governor.permit(codes, at_s)
        start_s, length_s = (at_s, 0.0) if free else (permit.start_s, permit.least_fade_s)
        governor.took(codes, start_s, start_s + length_s, big=permit.big)
        until_s = max(start_s + length_s, at_s + every_s)
        while at_s < until_s:
            share = 1.0 if length_s == 0 else min(1.0, max(0.0, (at_s - start_s) / length_s))
            counter.take((now + (target - now) * share).round().astype(np.uint8)[::STRIDE, ::STRIDE], at_s)
            at_s += FRAME_S
        now = target.astype(float)
    return counter.worst


def test_pages_turned_over_as_fast_as_keys_go_do_not_flash() -> None:
    pictures = [drawn(page) for page in PAGES] * 8
    assert turned(pictures, 0.05, free=True) > MOST, "without the governor they would"
    # A change each half second: three of them, one and a half flashes, touch any one second.
    assert turned(pictures, 0.05, free=False) <= 1.5


FORM = begun(Inquiry(tuple(QUESTIONS.values())))
HELD = Held("The probe was not found", "No edge was seen.", "Lay it on the target.", "41 readings are stored in h500.")
NEW = {
    "form": page_of(FORM),
    "keys": page_of(replace(FORM, helping=True)),
    "leave?": page_of(left(with_text(FORM, "brightness", "60"))),
    "implausible": held_question("implausible", HELD, implausible.WAYS).page,
    "lost": held_question("probe_off", HELD, find_probe.LOST).page,
    "covered": held_question("probe-floor", replace(HELD, calm=True), without_light.DARK[0].ways).page,
    "another meter": held_question("another_meter", HELD, meter.WAYS, pauses=False).page,
    "no reading": held_question("go_on", HELD, NO_READING_WAYS).page,
}


@pytest.mark.parametrize("name", NEW)
def test_a_page_that_takes_turns_with_a_white_patch_does_not_flash(name: str) -> None:
    page = NEW[name]
    assert page is not None
    pictures = [np.full((H, W, 3), 255, np.uint8), drawn(page)] * 8
    assert turned(pictures, 0.05, free=True) > MOST, "without the governor it would"
    assert turned(pictures, 0.05, free=False) <= 1.5


@pytest.mark.parametrize("name", [name for name, page in NEW.items() if page is not None and page.room == "dark"])
def test_a_page_that_holds_a_run_shows_no_more_than_a_candela(name: str) -> None:
    page = NEW[name]
    assert page is not None
    linear = (drawn(page).astype(float) / 255) ** 2.2
    # Rec. ITU-R BT.709 weights, on the panel of 300 cd/m² and gamma 2.2 that the screen takes for one it does not know.
    assert float((300.0 * linear @ np.array([0.2126, 0.7152, 0.0722])).max()) <= 1.01


@pytest.mark.parametrize("name", NEW)
def test_escape_from_each_page_is_heard_and_the_screen_is_dark_within_a_fifth_of_a_second(
    screen: PygameScreen, name: str
) -> None:
    page = NEW[name]
    assert page is not None
    screen.page(page)
    assert screen.pixels().any()
    pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=pygame.K_ESCAPE, mod=0, unicode=""))
    before_s = screen._clock.monotonic_s()
    assert any(event.stops for event in screen.poll())
    screen.darken()
    assert not screen.pixels().any()
    assert screen._clock.monotonic_s() - before_s <= 0.2


@pytest.fixture
def screen() -> Iterator[PygameScreen]:
    opened = open_screen(off_screen=(W, H), clock=VirtualClock(datetime(2026, 2, 3, 20, tzinfo=UTC)))
    yield opened
    opened.close()


def test_escape_while_a_page_comes_makes_the_screen_dark(screen: PygameScreen) -> None:
    screen.page(PAGES[1])
    assert screen.pixels().any() and screen.row_at(W // 2, H // 2)
    pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=pygame.K_ESCAPE, mod=0, unicode=""))
    with pytest.raises(Stopped):
        screen.page(PAGES[0])
    assert not screen.pixels().any()
    assert screen.row_at(W // 2, H // 2) == ""


def test_escape_on_a_page_is_an_event_and_the_way_to_dark_is_no_longer_than_a_fifth_of_a_second(
    screen: PygameScreen,
) -> None:
    screen.page(PAGES[0])
    pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=pygame.K_ESCAPE, mod=0, unicode=""))
    assert any(event.stops for event in screen.poll())
    before_s = screen._clock.monotonic_s()
    screen.darken()
    assert not screen.pixels().any()
    assert screen._clock.monotonic_s() - before_s <= 0.2
