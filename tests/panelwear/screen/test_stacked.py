"""Where a system tells the order of its windows and no more: what stands above ours is found, heard and named."""

from dataclasses import dataclass, field, replace

import numpy as np
import pytest

from panelwear.screen.contract import ScreenEvent
from panelwear.screen.stacked import Stacked, StackWatch
from panelwear.screen.watch import Watch
from patterns.frame import Rect

OURS = Stacked(7, (1920, 0, 1280, 720), shown=True, title="panelwear")
AROUND = Rect(600, 300, 80, 80)
GREY = np.full((720, 1280), 0x505050, np.uint32)


@dataclass
class Desktop:
    """Windows from the topmost down, as a person would stack them."""

    windows: list[Stacked] = field(default_factory=lambda: [OURS])

    def top(self) -> int:
        return self.windows[0].number if self.windows else 0

    def below(self, number: int) -> int:
        numbers = [window.number for window in self.windows]
        later = numbers[numbers.index(number) + 1 :] if number in numbers else []
        return later[0] if later else 0

    def window(self, number: int) -> Stacked | None:
        return next((window for window in self.windows if window.number == number), None)


def watch_on(desktop: Desktop) -> Watch:
    return Watch(unasked="not told here", stack=StackWatch(desktop, OURS.number))


def test_nothing_above_ours_and_anything_below_it_holds() -> None:
    below = Stacked(3, (0, 0, 3200, 720), shown=True, title="letters")
    proof = watch_on(Desktop([OURS, below])).prove(GREY, AROUND)
    assert (proof.holds, proof.compared, proof.unasked) == (True, False, "not told here")


def test_a_window_above_ours_counts_against_the_pattern_by_its_name_though_the_focus_is_ours() -> None:
    note = Stacked(9, (2900, 600, 200, 80), shown=True, title="a message\x1b[31m")
    proof = watch_on(Desktop([note, OURS])).prove(GREY, AROUND)
    assert not proof.holds
    assert proof.why == "a message [31m lies over the pattern"


@pytest.mark.parametrize(
    "window",
    [
        Stacked(9, (0, 0, 1920, 720), shown=True, title="on the other monitor"),
        Stacked(9, (1900, 0, 21, 720), shown=True, title="shares an edge"),
        Stacked(9, (2000, 100, 300, 300), shown=False, title="there and not shown"),
    ],
)
def test_what_is_elsewhere_or_not_shown_disturbs_nothing(window: Stacked) -> None:
    assert watch_on(Desktop([window, OURS])).prove(GREY, AROUND).holds


@pytest.mark.parametrize("windows", [[], [replace(OURS, shown=False)], [replace(OURS, number=8)]])
def test_a_pattern_that_is_not_on_the_desktop_does_not_hold(windows: list[Stacked]) -> None:
    proof = watch_on(Desktop(windows)).prove(GREY, AROUND)
    assert not proof.holds and "the pattern's window" in proof.why


def test_an_order_that_turns_in_a_circle_ends() -> None:
    class Circle(Desktop):
        def below(self, number: int) -> int:
            return number

    proof = watch_on(Circle([Stacked(9, (0, 0, 5, 5), shown=True), OURS])).prove(GREY, AROUND)
    assert not proof.holds and "cannot be read" in proof.why


def test_what_comes_over_ours_is_heard_once_and_again_when_it_comes_back() -> None:
    desktop = Desktop()
    watch = watch_on(desktop)
    note = Stacked(9, (2000, 100, 300, 300), shown=True)

    def heard(windows: list[Stacked]) -> list[ScreenEvent]:
        desktop.windows = windows
        return watch.take([], 1.0)

    assert heard([OURS]) == []
    assert heard([note, OURS]) == [ScreenEvent("covered", 1.0, text="a window without a name")]
    assert heard([note, OURS]) == []
    assert heard([OURS]) == []
    assert len(heard([note, OURS])) == 1


def test_a_lost_focus_still_holds_the_run() -> None:
    watch = watch_on(Desktop())
    watch.take([ScreenEvent("focus-lost", 1.0)], 1.0)
    assert not watch.prove(GREY, AROUND).holds
