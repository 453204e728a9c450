"""A page is taken by a letter, Return, a click or a line at the terminal; nothing else does anything."""

from __future__ import annotations

import io
import os
from datetime import UTC, datetime

import pytest

from groundwork.clock import VirtualClock
from panelwear.errors import Stopped
from panelwear.run.pages import AGAIN, STOP, done_page, held_page, leaving_words, stored_words
from panelwear.screen.fake import ROW_PX, FakeScreen
from panelwear.screen.page import Page
from panelwear.screen.person import ScreenOperator
from panelwear.screen.taking import as_line, taken_by_line
from panelwear.screen.terminal import Terminal

PAGE = held_page("The meter does not answer", "It was unplugged.", ("Connect it.",), stored_words(1, "h500"), "")


@pytest.fixture
def screen() -> FakeScreen:
    return FakeScreen(320, 200, VirtualClock(datetime(2026, 2, 3, 20, tzinfo=UTC)))


def choose(screen: FakeScreen, page: Page = PAGE, most_s: float = 60.0, typed: bytes = b"") -> str:
    """Put the page to a person whose terminal is a pipe, with what is typed there."""
    ours, theirs = os.pipe()
    os.write(theirs, typed)
    with os.fdopen(ours) as source:
        person = ScreenOperator(screen, Terminal(source, io.StringIO()), screen._clock)
        found = person.choose(page, most_s)
    os.close(theirs)
    return found


@pytest.mark.parametrize(
    ("keys", "taken"), [(("s",), STOP), (("x", "p", "r"), AGAIN), (("down", "return"), STOP), (("return",), AGAIN)]
)
def test_keys_take_a_row(screen: FakeScreen, keys: tuple[str, ...], taken: str) -> None:
    screen.press(*keys, after_s=0.5)
    assert choose(screen) == taken


def test_a_click_takes_the_row_it_is_on_and_one_beside_nothing(screen: FakeScreen) -> None:
    screen.happen("pointer-down", after_s=0.5, x=5, y=190, button=1)
    screen.happen("pointer-down", after_s=1.0, x=5, y=ROW_PX + 2, button=1)
    assert choose(screen) == STOP


@pytest.mark.parametrize(
    ("typed", "taken"), [(b"s\n", STOP), (b"stop here\n", STOP), (b"\n", AGAIN), (b"what\ns\n", STOP)]
)
def test_the_terminal_takes_a_row_too(screen: FakeScreen, typed: bytes, taken: str) -> None:
    assert choose(screen, typed=typed) == taken


def test_escape_stops_and_nobody_there_leaves_what_is_chosen(screen: FakeScreen) -> None:
    assert choose(screen, most_s=5.0) == AGAIN
    screen.press("escape", after_s=0.5)
    with pytest.raises(Stopped):
        choose(screen)


def test_what_a_page_says_stands_on_the_terminal_with_its_answers() -> None:
    assert as_line(PAGE).splitlines() == [
        "The meter does not answer",
        "It was unplugged.",
        "1 reading is stored in h500.",
        "Connect it.",
        "[r Try again now / s Stop here]:",
    ]
    assert taken_by_line(PAGE, "q") == ""


def test_the_way_out_says_each_clause_on_a_line_of_its_own() -> None:
    said = leaving_words(Stopped("stopped at the screen; 'panelwear resume d' goes on, 3 readings are stored"))
    assert said == ("Stopped at the screen", "'panelwear resume d' goes on, 3 readings are stored")
    assert done_page("All.", "Safe.", ("Next.",)).title == "Done"
