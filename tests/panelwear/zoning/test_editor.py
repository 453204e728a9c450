"""Zones drawn by mouse and keys, without a screen; every change can be taken back exactly."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelwear.folder.panel import zone_name_faults
from panelwear.screen.contract import ScreenEvent
from panelwear.zoning.editor import begun, entry_fault, redone, undone
from panelwear.zoning.plan import plan_of, zones_of
from panelwear.zoning.rects import LEAST_PX
from panelwear.zoning.step import step
from tests.panelwear.zoning.hand import BADGE, CHART, LIST, PANEL, ZONES, Hand, no_row


def test_three_drags_and_three_names_make_three_zones() -> None:
    hand = Hand()
    hand.drag((100, 100), (150, 180), (300, 200)).text("chart").key("return")
    hand.drag((500, 300), (400, 250)).text("badge").key("return")
    hand.drag((600, 400), (700, 500)).text("list")  # the next click takes a name over too
    hand.click(1200, 20)

    assert hand.rects == {"chart": (100, 100, 200, 100), "badge": (400, 250, 100, 50), "list": (600, 400, 100, 100)}


def test_a_new_zone_has_a_name_that_return_keeps() -> None:
    hand = Hand(BADGE).drag((500, 300), (600, 400)).key("return")
    assert (hand.chosen, hand.rects["zone-1"]) == ("zone-1", (500, 300, 100, 100))
    assert hand.state.entry is None


def test_inside_the_chosen_zone_a_drag_moves_it_unless_n_was_pressed() -> None:
    hand = Hand(*ZONES).drag((500, 300), (600, 400))
    assert [*hand.rects] == ["chart", "badge", "list"]

    hand.key("n").drag((500, 300), (600, 400)).key("return")
    assert hand.rects["zone-1"] == (500, 300, 100, 100)


def test_the_right_button_draws_inside_the_chosen_zone_too() -> None:
    hand = Hand(CHART).drag((500, 300), (600, 400), button=3)
    assert hand.rects["zone-1"] == (500, 300, 100, 100)


def test_a_new_zone_is_compared_with_what_all_others_are_compared_with() -> None:
    assert Hand(*ZONES).key("n").drag((500, 300), (600, 400)).key("return").references["zone-1"] == "chart"
    assert Hand(CHART).key("n").drag((500, 300), (600, 400)).key("return").references["zone-1"] == ""


def test_the_chosen_zone_is_moved_by_its_inside_and_resized_by_corner_and_edge() -> None:
    hand = Hand(BADGE).drag((1100, 90), (1090, 100))
    assert hand.rects["badge"] == (990, 50, 200, 100)
    hand.drag((1190, 150), (1210, 160))
    assert hand.rects["badge"] == (990, 50, 220, 110)
    hand.drag((990, 100), (960, 300))
    assert hand.rects["badge"] == (960, 50, 250, 110)


def test_a_zone_goes_no_farther_than_the_panel() -> None:
    assert Hand(BADGE).drag((1100, 90), (3000, -400)).rects["badge"] == (1080, 0, 200, 100)


def test_the_probe_goes_with_its_zone_and_stays_in_it() -> None:
    hand = Hand(BADGE).drag((1100, 90), (1090, 100))
    assert hand.state.plan.zones[0].probe_at_px == (1040, 100)
    hand.key("space", "space")
    assert hand.state.mode == "probe"
    hand.key("left", shift=True).key("up")
    assert hand.state.plan.zones[0].probe_at_px == (1030, 99)
    hand.drag((1030, 99), (5, 99))
    assert hand.state.plan.zones[0].probe_at_px == (990, 99)
    hand.key("0")
    assert hand.state.plan.zones[0].probe_at_px == hand.state.plan.zones[0].rect.centre


def test_arrows_move_by_one_and_by_ten_and_resize_where_they_are_told_to() -> None:
    hand = Hand(BADGE).key("right", "down", "down").key("left", shift=True)
    assert hand.rects["badge"] == (991, 42, 200, 100)
    hand.key("space").key("right").key("up", shift=True)
    assert hand.rects["badge"] == (991, 42, 201, 90)


def test_a_click_chooses_the_uppermost_zone_and_another_one_that_beneath() -> None:
    hand = Hand(*ZONES)
    assert hand.click(1100, 90).chosen == "badge"
    assert hand.click(1100, 90).chosen == "chart"
    assert hand.click(1100, 90).chosen == "badge"
    assert hand.click(100, 600).chosen == "list"
    assert not hand.state.is_changed and not hand.state.past


def test_a_click_beside_all_zones_chooses_none() -> None:
    assert Hand(BADGE).click(20, 20).chosen == ""


def test_tab_goes_round_both_ways() -> None:
    hand = Hand(*ZONES)
    assert [hand.key("tab").chosen for _ in range(4)] == ["badge", "list", "chart", "badge"]
    assert hand.key("tab", shift=True).chosen == "chart"
    assert Hand().key("tab").chosen == ""


@pytest.mark.parametrize("name", ["", "two words", "a/b", 'a"b', "chart", "centre", "x012y034", "top50%"])
def test_a_name_panel_toml_would_not_take_is_said_at_once_and_not_taken(name: str) -> None:
    hand = Hand(*ZONES).key("tab", "return").key("backspace").text(name)
    assert entry_fault(hand.state) == next(zone_name_faults(name, ["chart", "list"]))
    hand.key("return")
    assert hand.state.entry is not None
    hand.key("escape")
    assert hand.chosen == "badge"


def test_typing_takes_the_place_of_the_old_name_and_backspace_takes_it_back() -> None:
    hand = Hand(BADGE).key("return").text("clock")
    assert hand.state.entry is not None and hand.state.entry.typed == "clock"
    hand.key("backspace").key("return")
    assert hand.chosen == "cloc"


def test_what_is_compared_with_a_renamed_zone_follows_it() -> None:
    hand = Hand(*ZONES).key("return").text("map").key("return")
    assert hand.references == {"map": "", "badge": "map", "list": "map"}
    assert [zone.reference for _, zone in zones_of(hand.state.plan)] == ["", "map", "map"]


def test_the_reference_is_chosen_and_can_be_made_that_of_all() -> None:
    hand = Hand(*ZONES).key("tab")
    assert [hand.key("r").references["badge"] for _ in range(3)] == ["list", "", "chart"]
    assert hand.key("r", shift=True).references == {"chart": "badge", "badge": "", "list": "badge"}


def test_a_deleted_zone_leaves_nothing_that_refers_to_it_and_comes_back_whole() -> None:
    hand = Hand(*ZONES)
    before = hand.state.plan
    hand.key("delete")
    assert hand.references == {"badge": "", "list": ""}
    assert "badge, list" in hand.state.said
    assert hand.key("u").state.plan == before


def test_the_order_can_be_changed() -> None:
    hand = Hand(*ZONES).key("page-up")
    assert hand.state.plan.names == ("badge", "chart", "list")
    assert hand.key("page-down", "page-down").state.plan.names == ("chart", "badge", "list")


def test_undo_and_redo_by_both_keys() -> None:
    hand = Hand(BADGE).key("right", "right")
    assert hand.key("z", control=True).rects["badge"][0] == 1001
    assert hand.key("u").rects["badge"][0] == 1000
    assert hand.key("u").rects["badge"][0] == 1000
    assert hand.key("u", shift=True).rects["badge"][0] == 1001
    assert hand.key("z", shift=True, control=True).rects["badge"][0] == 1002
    hand.key("u").key("left")
    assert hand.state.future == ()


def test_escape_breaks_off_a_drag_an_entry_and_a_new_zone_before_it_leaves() -> None:
    hand = Hand(BADGE)
    begun_with = hand.state.plan
    hand.hold((1100, 90), (900, 300))
    assert hand.rects["badge"] != (1000, 40, 200, 100)
    hand.key("escape")
    assert hand.state.plan == begun_with and hand.state.drag is None
    assert hand.key("n", "escape").state.armed is False
    assert hand.key("return", "escape").state.entry is None
    assert hand.key("escape").state.wish == "leave"


def test_escape_asks_before_work_is_lost_and_escape_again_goes_on() -> None:
    hand = Hand(BADGE).key("right", "escape")
    assert (hand.state.asking, hand.state.wish) == ("leave", "")
    hand.key("escape")
    assert (hand.state.asking, hand.state.wish) == ("", "")
    assert hand.rects["badge"][0] == 1001
    hand.take(ScreenEvent("quit", 0.0))
    assert hand.state.asking == "leave"


def test_save_and_discard_are_wishes_for_whoever_holds_the_file() -> None:
    hand = Hand(BADGE).key("right", "escape", "return")
    assert (hand.state.wish, hand.state.leaving) == ("save", True)
    assert Hand(BADGE).key("right", "escape", "down", "return").state.wish == "leave"
    assert Hand(BADGE).key("right", "s").state.wish == "save"
    assert Hand(BADGE).key("s").state.wish == ""


def test_a_key_that_means_nothing_changes_nothing() -> None:
    hand = Hand(*ZONES)
    for key in ("x", "backspace", "f5", "home", "1", "q"):
        assert hand.key(key).state.plan.zones == plan_of(ZONES).zones


def test_keys_alone_make_a_zone() -> None:
    hand = Hand().key("n", "return").text("middle").key("return").key("left", shift=True)
    assert hand.rects == {"middle": (502, 288, 256, 144)}


keys = st.sampled_from(
    ["left", "right", "up", "down", "tab", "space", "n", "return", "delete", "r", "page-up", "page-down",
     "0", "u", "backspace", "escape", "h", "l", "z", "s", "a", "/", "y"]
)  # fmt: skip
spots = st.integers(-30, 1400)
events = st.one_of(
    st.builds(lambda k, shift, control: ScreenEvent("key", 0.0, k, shift, control), keys, st.booleans(), st.booleans()),
    st.builds(lambda word: ScreenEvent("text", 0.0, text=word), st.sampled_from(["a", "b", " ", "/", "zone-1", "\t"])),
    st.builds(
        lambda kind, x, y, button: ScreenEvent(kind, 0.0, x=x, y=y, button=button),
        st.sampled_from(["pointer-down", "pointer-move", "pointer-up"]),
        spots,
        spots,
        st.sampled_from([1, 3]),
    ),
)


@settings(max_examples=150, deadline=None)
@given(st.lists(events, max_size=60), st.sampled_from([(), (CHART,), ZONES, (LIST, BADGE)]))
def test_whatever_the_hand_does_the_zones_stay_sound(happened: list[ScreenEvent], zones: tuple) -> None:
    if zones == (LIST, BADGE):
        zones = tuple(type(z)(z.name, z.rect, z.probe_at_px) for z in zones)
    state = begun(plan_of(zones), PANEL)
    for event in happened:
        state = step(state, event, no_row)
        there = zones_of(state.plan)
        names = [zone.name for _, zone in there]
        assert len({number for number, _ in there}) == len(there)
        for n, (_, zone) in enumerate(there):
            rect = zone.rect
            assert rect.x >= 0 and rect.y >= 0 and rect.right <= PANEL[0] and rect.bottom <= PANEL[1]
            assert rect.w >= LEAST_PX and rect.h >= LEAST_PX
            assert rect.x <= zone.probe_at_px[0] <= rect.right and rect.y <= zone.probe_at_px[1] <= rect.bottom
            assert list(zone_name_faults(zone.name, names[:n])) == []
            assert zone.reference == "" or zone.reference in {*names} - {zone.name}
    if state.drag is not None:
        state = step(state, ScreenEvent("key", 0.0, key="escape"), no_row)
    end = state.plan
    count = len(state.past)
    for _ in range(count):
        state = undone(state)
    assert state.plan.zones == plan_of(zones).zones
    for _ in range(count):
        state = redone(state)
    assert state.plan.zones == end.zones
