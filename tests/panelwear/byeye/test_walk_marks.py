from __future__ import annotations

import pytest

from panelwear.byeye.walk_fields import MatchTarget, OlderMark
from panelwear.byeye.walk_marks import WalkMarks
from panelwear.readings.marks import MarkShape
from patterns.frame import Rect
from tests.panelwear.byeye.hand import WIDTH, hand


def test_a_mark_by_mouse_alone() -> None:
    h = hand()
    h.click(WIDTH - 5, 500)
    h.drag(100, 200, 400, 260)
    assert h.said().startswith("What is it?")
    h.wheel(-2)
    h.click()
    h.wheel(-1)
    h.click()
    (sight,) = h.walk.sights
    assert (sight.kind, sight.strength, sight.field.name, sight.blind) == ("blotch", "plain", "mid", True)
    assert sight.drawn == MarkShape("rect", 100, 200, 400, 260)
    assert [r.kind for r in h.walk.take_requests()] == ["marks-changed"]
    assert h.walk.take_requests() == ()


def test_a_mark_by_keyboard_alone() -> None:
    h = hand()
    h.keys("m", "left", "s", "right", "return", "return", "3")
    (sight,) = h.walk.sights
    assert (sight.kind, sight.strength) == ("band", "distracting")
    # A tenth of the screen in its middle, moved 16 px left, made 16 px wider.
    assert sight.drawn == MarkShape("rect", 864 - 16, 486, 1056 - 16 + 16, 594)


def test_the_right_button_draws_a_line_and_a_click_marks_a_spot() -> None:
    h = hand()
    h.drag(100, 100, 500, 400, button=3)
    h.click()
    h.click()
    h.click(700, 700)
    h.click()
    h.click()
    line, spot = h.walk.sights
    assert (line.kind, line.drawn.shape) == ("line", "line")
    assert (spot.kind, spot.drawn.rect) == ("pixel fault", Rect(696, 696, 9, 9))


def test_a_drag_off_the_screen_ends_at_its_border() -> None:
    h = hand()
    h.drag(1800, 1000, 5000, -50)
    h.click()
    h.click()
    assert h.walk.sights[0].drawn.rect == Rect(1800, 0, 120, 1000)


def test_a_mark_is_taken_back() -> None:
    h = hand()
    h.drag(100, 200, 400, 260)
    h.keys("u")
    assert "no mark to take back" not in h.said(), "a list is open: the key is no command"
    h.keys("return", "return", "u", "down", "return")
    assert h.walk.sights == []
    assert [r.kind for r in h.walk.take_requests()] == ["marks-changed", "marks-changed"]
    assert "U can put it back" in h.said()


def test_a_key_that_strays_takes_no_mark_back_and_what_was_taken_can_be_put_back() -> None:
    h = hand()
    for x in (100, 500):
        h.drag(x, 200, x + 300, 260)
        h.keys("return", "return")
    first, second = h.walk.sights
    h.keys("u", "return", "u", "space", "u", "escape")
    assert h.walk.sights == [first, second]
    h.keys("u", "3")
    assert h.walk.sights == [second]
    assert second.number == 2
    h.drag(900, 200, 950, 400)
    h.keys("return", "return")
    assert [s.number for s in h.walk.sights] == [2, 3], "no number is given twice"
    h.keys("u", "4")
    assert [s.number for s in h.walk.sights] == [1, 2, 3]
    assert h.walk.sights[0] == first


def test_an_earlier_sessions_mark_is_taken_back_and_put_back() -> None:
    older = OlderMark(4, "band", "plain", MatchTarget("mark-4", Rect(0, 0, 9, 9)))
    h = hand(marks=WalkMarks(5, (older,)))
    assert [t.name for t in h.walk.targets()] == ["mark-4"]
    h.keys("u", "2")
    assert h.walk.targets() == ()
    h.keys("u", "2")
    assert [(r.kind, r.number) for r in h.walk.take_requests()] == [("take-back", 4), ("put-back", 4)]
    assert [t.name for t in h.walk.targets()] == ["mark-4"]


def test_a_mark_that_was_begun_can_be_dropped() -> None:
    h = hand()
    h.drag(100, 200, 400, 260)
    h.keys("backspace")
    h.keys("m", "backspace")
    assert h.walk.sights == []
    assert h.walk.take_requests() == ()
    assert h.walk.view(h.now_s).outlines == ()


def test_earlier_marks_come_only_after_a_blind_look_and_later_marks_are_no_longer_blind() -> None:
    h = hand(earlier=(MarkShape("rect", 10, 10, 60, 60),))
    h.keys("e")
    assert h.walk.view(h.now_s).outlines == ()
    assert "First look without them: 2 fields to go" in h.said()
    h.keys("right", "right", "e")
    assert h.walk.view(h.now_s + 3).outlines == ((8, 8, 54, 54),)
    h.drag(100, 200, 400, 260)
    h.keys("return", "return", "e")
    assert not h.walk.sights[0].blind
    assert h.walk.view(h.now_s).outlines == ()


def test_marks_and_zones_can_be_matched_by_either_hand() -> None:
    h = hand(zones=(MatchTarget("chart", Rect(0, 0, 100, 100)),))
    h.drag(100, 200, 400, 260)
    h.keys("return", "return", "n", "return", "2")
    (_, wanted) = h.walk.take_requests()
    assert (wanted.kind, wanted.method) == ("match", "forced-choice")
    assert wanted.target == MatchTarget("mark-1", Rect(100, 200, 300, 60))
    h.click(button=3)
    h.wheel(-5)
    h.click()
    h.wheel(1)
    h.click()
    h.click()
    (wanted,) = h.walk.take_requests()
    assert (wanted.kind, wanted.method) == ("match", "adjustment")
    assert wanted.target is not None
    assert wanted.target.name == "chart"


def test_matching_needs_something_to_match_and_a_flat_field() -> None:
    h = hand()
    h.keys("n")
    assert "Mark something first" in h.said()
    h.drag(100, 200, 400, 260)
    h.keys("return", "return", "right", "right", "n")
    assert "needs a flat field" in h.said()


def test_a_note_is_typed_and_keys_are_letters_meanwhile() -> None:
    h = hand()
    h.drag(100, 200, 400, 260)
    h.keys("return", "return", "t")
    h.event("text", text="t")  # of the key that opened the line
    for letter in "dim mess":
        h.event("key", key="space" if letter == " " else letter)
        h.event("text", text=letter)
    h.keys("backspace", "return")
    assert h.walk.sights[0].note == "dim mes"
    assert len(h.walk.sights) == 1


def test_a_note_with_every_letter_that_is_a_command_stays_a_note() -> None:
    h = hand()
    h.drag(100, 200, 400, 260)
    h.keys("return", "return", "t")
    words = "looks like the timer column, 2 queue; zoom 1"
    h.event("text", text="t")
    for letter in words:
        h.event("key", key="space" if letter == " " else letter)
        h.event("text", text=letter)
    assert h.walk.can_go_back
    h.keys("return")
    (sight,) = h.walk.sights
    assert sight.note == words
    assert {r.kind for r in h.walk.take_requests()} == {"marks-changed"}


def test_a_digit_that_chooses_does_not_leak_into_the_line_it_opens() -> None:
    h = hand()
    h.drag(100, 200, 400, 260)
    h.keys("return", "return", "z")
    h.event("text", text="z")
    h.event("key", key="1")
    h.event("text", text="1")
    h.event("key", key="1")
    h.event("text", text="1")
    h.keys("return")
    assert h.walk.take_requests()[-1].name == "seen-11"


def test_a_ready_note_needs_no_keyboard() -> None:
    h = hand()
    h.drag(100, 200, 400, 260)
    h.click()
    h.click()
    h.click(button=3)
    h.wheel(-6)
    h.click()
    h.wheel(-1)
    h.click()
    assert h.walk.sights[0].note == "only from the side"


def test_a_mark_becomes_a_zone_once() -> None:
    h = hand()
    h.drag(100, 200, 400, 260)
    h.keys("return", "return", "z", "return", "return")
    wanted = h.walk.take_requests()[-1]
    assert (wanted.kind, wanted.number, wanted.name) == ("zone", 0, "seen-1")
    h.walk.became_zone(0, MatchTarget("seen-1", Rect(100, 200, 300, 60)))
    assert [t.name for t in h.walk.targets()] == ["seen-1"]
    h.keys("z")
    assert "zone already" in h.said()


@pytest.mark.parametrize("shape", ["rect", "line"])
def test_a_slanting_line_is_outlined_along_itself(shape: str) -> None:
    boxes = MarkShape(shape, 0, 0, 480, 240).boxes()  # type: ignore[arg-type]
    assert len(boxes) == (1 if shape == "rect" else 21)
