"""What is drawn: outlines with what lies over them, labels, the card that keeps out of the way."""

from __future__ import annotations

import numpy as np

from panelwear.screen.desk import Backdrop, Desk
from panelwear.zoning.editor import CORNERS
from panelwear.zoning.fits import Probe
from panelwear.zoning.plan import meet
from panelwear.zoning.questions import KEYS, page_of
from panelwear.zoning.view import Surroundings, _card_box, desk_of, outline
from patterns.frame import Rect
from tests.panelwear.zoning.hand import BADGE, PANEL, ZONES, Hand

AROUND = Surroundings("desk", Probe(10.0, (0.466, 0.466)))


def desk(hand: Hand, around: Surroundings = AROUND) -> Desk:
    return desk_of(hand.state, around)


def rows(desk: Desk) -> dict[str, str]:
    return dict(desk.card.rows)


def test_an_outline_is_whole_where_nothing_lies_over_it() -> None:
    edges = outline(Rect(10, 20, 30, 40), [], "plain")
    assert sorted((*e.start, *e.end) for e in edges) == [
        (10, 20, 10, 60), (10, 20, 40, 20), (10, 59, 40, 59), (39, 20, 39, 60),
    ]  # fmt: skip
    assert not any(e.dotted for e in edges)


def test_what_a_later_zone_hides_is_dotted() -> None:
    edges = outline(Rect(0, 0, 100, 100), [Rect(50, -10, 20, 30), Rect(65, -10, 20, 30)], "plain")
    hidden = [(e.start, e.end) for e in edges if e.dotted]
    assert (hidden[0][0], hidden[-1][1]) == ((50, 0), (85, 0))
    assert sum(e.end[0] - e.start[0] for e in edges if e.start[1] == 0 == e.end[1]) == 100


def test_the_card_says_name_place_size_in_both_units_reference_and_order() -> None:
    card = desk(Hand(*ZONES).key("tab")).card
    told = dict(card.rows)
    assert card.title == "badge"
    assert (told["from"], told["size"], told[""]) == ("1000, 40 px", "200 x 100 px", "93.2 x 46.6 mm")
    assert (told["compared"], told["order"], told["lies over"]) == ("with chart", "2 of 3", "chart")
    assert card.words[0][0].startswith("Fits")


def test_overlaps_are_said_from_both_sides() -> None:
    told = rows(desk(Hand(*ZONES)))
    assert told["lies under"] == "badge, list" and told["reference"] == "of badge, list"


def test_what_does_not_fit_is_said_on_the_panel_too_and_in_words() -> None:
    hand = Hand(BADGE).key("space").drag((1200, 90), (1010, 90)).key("tab")
    found = desk(hand)
    assert found.labels[0].text == "badge, too narrow"
    assert found.card.words[0][0].startswith("Too narrow: 4.7 mm wide") and found.card.words[0][1] == "warning"


def test_the_probes_aperture_is_drawn_to_scale_where_it_reads() -> None:
    ring = desk(Hand(BADGE)).rings[0]
    assert ring.at == (1050.0, 90.0)
    assert abs(ring.radii[0] * 0.466 - 5.0) < 1e-9


def test_what_the_arrows_do_and_how_to_switch_is_said() -> None:
    hand = Hand(BADGE)
    said = [dict(desk(hand.key(*keys)).card.keys) for keys in ((), ("space",), ("space",))]
    done = [keys["arrows"].partition(";")[0] for keys in said]
    assert done == ["move the zone", "resize it", "move the probe's place"]
    assert said[0]["space"] == "arrows: resize it"


def test_a_rectangle_being_drawn_shows_its_size() -> None:
    found = desk(Hand().hold((100, 100), (200, 150)))
    assert found.labels[-1].text == "100 x 50 px, 46.6 x 23.3 mm"
    assert "drawing 100,100 100x50" in found.summary


def test_a_name_that_will_not_do_is_said_while_it_is_typed() -> None:
    card = desk(Hand(*ZONES).key("tab", "return").text("a/b")).card
    assert card.entry == "a/b"
    assert any("without spaces, slashes" in text for text, _ in card.words)


def test_the_card_keeps_out_of_the_way_of_the_zone_under_the_hand() -> None:
    hand = Hand(BADGE)
    for at in ((1100, 650), (100, 650), (100, 60), (1100, 60)):
        hand.key("tab")
        rect = hand.state.plan.zones[0].rect
        hand.drag((rect.x + rect.w // 2, rect.y + rect.h // 2), at)
        assert not meet(_card_box(hand.state.corner, hand.state), hand.state.plan.zones[0].rect)
    assert hand.state.corner in CORNERS


def test_the_card_does_not_jump_while_nothing_is_in_its_way() -> None:
    hand = Hand(BADGE)
    corner = hand.state.corner
    hand.drag((1100, 90), (300, 90)).key("left", "down")
    assert hand.state.corner == "bottom-right" == corner


def test_a_hand_can_put_the_card_elsewhere_until_another_zone_is_chosen() -> None:
    hand = Hand(*ZONES).key("tab", "tab", "c")
    assert (hand.state.corner, hand.key("right").state.corner) == ("bottom-left", "bottom-left")
    assert hand.key("tab", "tab", "tab").state.corner != "bottom-left"


def test_the_picture_beneath_can_be_put_away() -> None:
    around = Surroundings("desk", AROUND.probe, Backdrop(np.zeros((720, 1280), np.uint8)))
    hand = Hand(BADGE)
    assert desk(hand, around).backdrop is around.backdrop
    assert desk(hand.key("t"), around).backdrop is None


def test_a_panel_with_an_unknown_aperture_says_so() -> None:
    found = desk(Hand(), Surroundings("desk", Probe(10.0, (0.5, 0.5), assumed=True)))
    assert any("10 mm is assumed" in text for text, _ in found.card.words)


def test_every_key_that_does_something_is_told_by_h() -> None:
    from panelwear.zoning.keys import ACTS, ARROWS

    told = " ".join(key for key, _ in KEYS).lower().replace("pgup", "page-up").replace("pgdn", "page-down").split()
    assert {*ACTS} - {"h", "?"} <= {*told}
    assert {*ARROWS} and "arrows" in told
    assert page_of(Hand().key("h").state).keys == KEYS
    assert Hand().state.panel == PANEL
