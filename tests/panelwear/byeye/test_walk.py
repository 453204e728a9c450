from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from panelwear.byeye.walk_fields import MatchTarget, WalkField
from panelwear.readings.marks import MarkShape
from patterns.frame import Rect
from tests.panelwear.byeye.hand import HEIGHT, WIDTH, hand


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


def test_the_middle_button_takes_no_line_of_a_list() -> None:
    h = hand()
    h.drag(100, 200, 400, 260)
    asked = h.said()
    h.click(button=2)
    assert h.said() == asked
    h.click()
    assert h.said() != asked


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
        # The shape that is being placed is seen in every step, whatever is written beside it.
        assert h.walk._placing is None or view.outlines
    for sight in h.walk.sights:
        rect = sight.drawn.rect
        assert rect.x >= 0
        assert rect.y >= 0
        assert max(rect.right - WIDTH, rect.bottom - HEIGHT) <= 1, "a line along the border counts one pixel wide"
        assert sight.kind
        assert sight.strength


def test_a_box_placed_by_keys_shows_itself_from_the_first_moment_and_while_it_is_described() -> None:
    h = hand()
    h.keys("m")
    first = h.walk.view(h.now_s)
    assert first.card is not None and first.outlines == ((862, 484, 196, 112),)
    h.keys("left")
    (moved,) = h.walk.view(h.now_s).outlines
    assert moved[0] == 862 - 16
    for step in ("return", "return"):
        h.keys(step)
        view = h.walk.view(h.now_s)
        assert (view.card is not None, view.outlines) == (True, (moved,) if h.walk.can_go_back else ())


def test_the_card_that_describes_a_mark_stands_on_the_other_side() -> None:
    h = hand()
    h.drag(100, 200, 400, 260)
    assert h.walk.view(h.now_s).card.corner == "top-right"
    h.keys("escape")
    h.drag(1500, 200, 1800, 260)
    assert h.walk.view(h.now_s).card.corner == "bottom-left"


def test_this_session_s_marks_are_shown_and_hidden() -> None:
    h = hand()
    h.keys("v")
    assert "Nothing was marked" in h.said()
    h.drag(100, 200, 400, 260)
    h.keys("return", "return", "v")
    assert "1 mark of this session: shown" in h.said()
    assert h.walk.view(h.now_s + 60).outlines == ((98, 198, 304, 64),)
    h.keys("right")
    assert h.walk.view(h.now_s + 60).outlines == ((98, 198, 304, 64),), "on every field"
    h.keys("v")
    assert "hidden" in h.said() and h.walk.view(h.now_s + 60).outlines == ()


def test_which_one_points_at_it_on_the_panel() -> None:
    h = hand(zones=(MatchTarget("vessel-list", Rect(0, 0, 384, 1080)), MatchTarget("chart", Rect(384, 0, 900, 900))))
    h.keys("n")
    assert "Which one?" in h.said() and h.walk.view(h.now_s).outlines == ((381, -3, 906, 906),)
    h.keys("up")
    assert h.walk.view(h.now_s).outlines == ((-3, -3, 390, 1086),)
    assert h.walk.view(h.now_s).card.corner == "top-right"
    h.keys("return")
    assert "Measure vessel-list" in h.said() and h.walk.view(h.now_s).outlines == ((-3, -3, 390, 1086),)


def test_taking_a_mark_back_points_at_it_and_none_points_at_nothing() -> None:
    h = hand()
    h.drag(100, 200, 400, 260)
    h.keys("return", "return", "u")
    assert h.walk.view(h.now_s).outlines == ()
    h.keys("down")
    assert h.walk.view(h.now_s).outlines == ((97, 197, 306, 66),)
