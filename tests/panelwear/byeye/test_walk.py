from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelwear.byeye.walk import Walk
from panelwear.byeye.walk_fields import MatchTarget, OlderMark, WalkField
from panelwear.byeye.walk_marks import WalkMarks
from panelwear.readings.marks import MarkShape
from panelwear.screen.contract import ScreenEvent
from patterns.frame import Rect

FIELDS = (
    WalkField("near-black", "grey", 4.0),
    WalkField("mid", "grey", 128.0),
    WalkField("ramp", "grey", 255.0, "smooth-ramp"),
)
WIDTH, HEIGHT = 1920, 1080


class Hand:
    """Feeds a walk as a person's hand would, a tenth of a second an event."""

    def __init__(self, walk: Walk) -> None:
        self.walk = walk
        self.now_s = 100.0

    def event(self, kind: str, **rest: object) -> None:
        self.now_s += 0.1
        self.walk.handle(ScreenEvent(kind, self.now_s, **rest))  # type: ignore[arg-type]

    def keys(self, *keys: str, shift: bool = False) -> None:
        for key in keys:
            self.event("key", key=key, shift=shift)

    def drag(self, x0: int, y0: int, x1: int, y1: int, button: int = 1) -> None:
        self.event("pointer-down", x=x0, y=y0, button=button)
        self.event("pointer-move", x=(x0 + x1) // 2, y=(y0 + y1) // 2)
        self.event("pointer-move", x=x1, y=y1)
        self.event("pointer-up", x=x1, y=y1, button=button)

    def click(self, x: int = 960, y: int = 540, button: int = 1) -> None:
        self.event("pointer-down", x=x, y=y, button=button)
        self.event("pointer-up", x=x, y=y, button=button)

    def wheel(self, by: int, shift: bool = False) -> None:
        for _ in range(abs(by)):
            self.event("wheel", button=1 if by > 0 else -1, shift=shift)

    def said(self) -> str:
        card = self.walk.view(self.now_s).card
        return " ".join((card.title, *card.lines)) if card else ""


def hand(**rest: object) -> Hand:
    return Hand(Walk(FIELDS, WIDTH, HEIGHT, began_s=100.0, **rest))  # type: ignore[arg-type]


def test_arrows_step_field_and_level_and_shift_a_quarter_of_a_code() -> None:
    h = hand()
    h.keys("right", "up", "up")
    h.keys("down", shift=True)
    assert h.walk.field == WalkField("mid", "grey", 129.75)
    h.keys("left")
    assert h.walk.field.name == "near-black"
    h.keys("right")
    assert h.walk.field.code == 129.75, "a field keeps the level it was stepped to"


def test_levels_stop_at_the_panel_s_ends() -> None:
    h = hand()
    h.keys(*["page-down"] * 3)
    assert h.walk.field.code == 0
    h.keys("right", *["page-up"] * 30)
    assert h.walk.field.code == 255


def test_a_ramp_has_no_level_to_step() -> None:
    h = hand()
    h.keys("right", "right", "up")
    assert h.walk.field.code == 255
    assert "cannot be stepped" in h.said()


def test_the_channel_key_goes_round() -> None:
    h = hand()
    hues = []
    for _ in range(4):
        h.keys("c")
        hues.append(h.walk.field.hue)
    assert hues == ["red", "green", "blue", "grey"]


def test_the_help_card_comes_first_and_the_overlay_hides_itself_in_three_seconds() -> None:
    h = hand()
    assert "what the keys and the mouse do" in h.said()
    assert h.walk.view(h.now_s + 59).card is not None
    h.keys("right")
    assert "field 2 of 3" in h.said()
    assert h.walk.view(h.now_s + 2.9).card is not None
    assert h.walk.view(h.now_s + 3.0).card is None


def test_the_overlay_can_be_kept_off() -> None:
    h = hand()
    h.keys("o", "right")
    assert h.walk.view(h.now_s).card is None
    h.keys("o", "left")
    assert h.walk.view(h.now_s).card is not None


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


def test_nothing_is_written_over_the_field_during_a_drag() -> None:
    h = hand()
    h.event("pointer-down", x=10, y=10, button=1)
    h.event("pointer-move", x=300, y=300)
    assert h.walk.view(h.now_s).card is None
    assert h.walk.view(h.now_s).outlines == ((8, 8, 294, 294),)


def test_the_pointer_is_a_small_outline_that_hides_itself() -> None:
    h = hand()
    h.event("pointer-move", x=300, y=200)
    assert h.walk.view(h.now_s).outlines == ((291, 191, 18, 18),)
    assert h.walk.view(h.now_s + 3).outlines == ()


def test_the_wheel_can_be_made_finer_without_a_keyboard() -> None:
    h = hand()
    h.wheel(1)
    h.click(button=2)
    h.wheel(1)
    assert h.walk.field.code == 5.25


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


def test_escape_goes_back_one_level_at_a_time() -> None:
    h = hand()
    assert not h.walk.can_go_back
    h.drag(100, 200, 400, 260)
    h.keys("down", "return")
    assert "how strong?" in h.said()
    h.keys("escape")
    assert "What is it?" in h.said()
    h.keys("return", "return")
    assert len(h.walk.sights) == 1
    h.keys("tab", "8")
    assert "Which one?" not in h.said()
    h.keys("escape", "escape", "m")
    assert h.walk.can_go_back
    h.keys("escape")
    assert not h.walk.can_go_back
    assert len(h.walk.sights) == 1


def test_a_walk_goes_on_where_it_was_left() -> None:
    h = hand()
    h.keys("right")
    again = hand(resumed=h.walk.state)
    assert again.walk.field.name == "mid"
    assert "Going on at field 2 of 3" in again.said()
    again.keys("right")
    assert again.walk.looked_through
    whole = hand(resumed=again.walk.state)
    assert whole.walk.field.name == "near-black"
    assert whole.walk.looked_through


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


def test_the_middle_button_takes_no_line_of_a_list() -> None:
    h = hand()
    h.drag(100, 200, 400, 260)
    asked = h.said()
    h.click(button=2)
    assert h.said() == asked
    h.click()
    assert h.said() != asked


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


def test_leaving_is_asked_for_once() -> None:
    h = hand()
    h.keys("q")
    assert [r.kind for r in h.walk.take_requests()] == ["leave"]


KEYS = [*"abcehlmnoqstuz123456789", "left", "right", "up", "down", "return", "space", "backspace", "escape", "tab",
        "f1", "home", "end", "page-up", "page-down", "delete"]  # fmt: skip
EVENTS = st.one_of(
    st.builds(lambda k, s: ("key", {"key": k, "shift": s}), st.sampled_from(KEYS), st.booleans()),
    st.builds(lambda t: ("text", {"text": t}), st.sampled_from(list("aé/\"' 7"))),
    st.builds(lambda b, s: ("wheel", {"button": b, "shift": s}), st.sampled_from([-1, 1]), st.booleans()),
    st.builds(
        lambda k, x, y, b: (k, {"x": x, "y": y, "button": b}),
        st.sampled_from(["pointer-down", "pointer-move", "pointer-up"]),
        st.integers(-50, 2500),
        st.integers(-50, 1500),
        st.sampled_from([1, 2, 3]),
    ),
    st.sampled_from([("focus-lost", {}), ("expose", {})]),
)


@given(st.lists(EVENTS, max_size=80))
def test_key_mashing_never_breaks_the_walk_and_every_mark_lies_on_the_screen(
    events: list[tuple[str, dict[str, object]]],
) -> None:
    h = hand(earlier=(MarkShape("line", 5, 5, 900, 800),), zones=(MatchTarget("chart", Rect(0, 0, 100, 100)),))
    for kind, rest in events:
        h.event(kind, **rest)
        view = h.walk.view(h.now_s)
        assert 0 <= view.field.code <= 255
        assert view.card is None or len(view.card.lines) <= 16
        assert view.card is None or not view.outlines
    for sight in h.walk.sights:
        rect = sight.drawn.rect
        assert rect.x >= 0
        assert rect.y >= 0
        assert max(rect.right - WIDTH, rect.bottom - HEIGHT) <= 1, "a line along the border counts one pixel wide"
        assert sight.kind
        assert sight.strength


@pytest.mark.parametrize("shape", ["rect", "line"])
def test_a_slanting_line_is_outlined_along_itself(shape: str) -> None:
    boxes = MarkShape(shape, 0, 0, 480, 240).boxes()  # type: ignore[arg-type]
    assert len(boxes) == (1 if shape == "rect" else 21)
