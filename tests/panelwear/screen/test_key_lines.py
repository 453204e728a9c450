"""Which lines of a card tell keys, so that they stand in two columns."""

from __future__ import annotations

import pytest

from panelwear.byeye.walk_cards import HELP as WALK_HELP
from panelwear.screen.hold import HELP
from panelwear.screen.key_lines import pairs_of


@pytest.mark.parametrize("line", [*HELP, *WALK_HELP])
def test_every_line_of_the_help_cards_is_a_key_and_what_it_does(line: str) -> None:
    [(key, does)] = pairs_of(line)
    assert f"{key}: {does}" == line


def test_several_pairs_of_a_line_are_parted_and_numbers_are_keys() -> None:
    assert pairs_of("Return or click: it has gone · Backspace or right click: make the last one again") == [
        ("Return or click", "it has gone"),
        ("Backspace or right click", "make the last one again"),
    ]
    assert pairs_of("2  it is so: this light is true") == [("2", "it is so: this light is true")]


@pytest.mark.parametrize(
    "line",
    [
        "",
        "45 min left",
        "The probe: is it off?",
        "caution: do not stare into it",
        "place: lower left",
        "with a: nothing · p",
    ],
)
def test_other_lines_stay_whole(line: str) -> None:
    assert pairs_of(line) == []
