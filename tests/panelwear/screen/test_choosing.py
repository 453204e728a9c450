"""Arrows and the mouse choose, Return and a click take; nothing else does anything."""

import pytest

from panelwear.screen.choosing import Choice, chosen_after
from panelwear.screen.contract import ScreenEvent
from panelwear.screen.page import Buttons, Item, Items, Page, Words

ROWS = Items((Item("a", "first"), Item("b", "second", enabled=False), Item("c", "third"), Item("d", "fourth")))
PAGE = Page("a page", (Words("text"), ROWS, Buttons((Item("go", "go on"),))), chosen="a")


def key(name: str, shift: bool = False) -> ScreenEvent:
    return ScreenEvent("key", 0.0, key=name, shift=shift)


def none(_x: int, _y: int) -> str:
    return ""


@pytest.mark.parametrize(
    ("pressed", "chosen"),
    [
        (key("down"), "c"),
        (key("up"), "a"),
        (key("end"), "go"),
        (key("home"), "a"),
        (key("tab", shift=True), "go"),
        (key("page-down"), "go"),
        (key("x"), "a"),
        (ScreenEvent("wheel", 0.0, button=-1), "c"),
        (ScreenEvent("wheel", 0.0, button=1), "a"),
    ],
)
def test_keys_and_wheel_choose_and_take_nothing(pressed: ScreenEvent, chosen: str) -> None:
    assert chosen_after(PAGE, pressed, none) == Choice(chosen)


def test_return_takes_what_is_chosen() -> None:
    assert chosen_after(PAGE, key("return"), none) == Choice("a", taken=True)


def test_return_takes_nothing_where_nothing_is_chosen() -> None:
    assert chosen_after(Page("a page", (ROWS,)), key("return"), none) == Choice("")


def test_the_mouse_chooses_what_it_is_over_and_a_click_takes_it() -> None:
    over = ScreenEvent("pointer-move", 0.0, x=5, y=5)
    click = ScreenEvent("pointer-down", 0.0, x=5, y=5, button=1)
    assert chosen_after(PAGE, over, lambda x, y: "c") == Choice("c")
    assert chosen_after(PAGE, click, lambda x, y: "c") == Choice("c", taken=True)


def test_a_click_beside_all_rows_or_on_one_that_cannot_be_taken_does_nothing() -> None:
    click = ScreenEvent("pointer-down", 0.0, x=5, y=5, button=1)
    assert chosen_after(PAGE, click, none) == Choice("a")
    assert chosen_after(PAGE, click, lambda x, y: "b") == Choice("a")
