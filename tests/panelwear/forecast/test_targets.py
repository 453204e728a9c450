"""What may be asked for, and what is said to words that are none of it."""

import pytest

from panelwear.errors import UsageError
from panelwear.forecast.targets import Target, first_targets, next_contrast, target_of

ZONES = ("chart", "vessel-list", "clock-badge")


@pytest.mark.parametrize(
    ("said", "kind", "of", "value"),
    [
        ("clock-badge contrast 3 %", "contrast", "clock-badge", 3.0),
        ("Clock-Badge contrast 2.5%", "contrast", "clock-badge", 2.5),
        ("chart contrast 0,5", "contrast", "chart", 0.5),
        ("peak 90 %", "kept", "white", 0.9),
        ("white luminance 85%", "kept", "white", 0.85),
        ("blue 80", "kept", "blue", 0.8),
        ("white shift 0.004", "shift", "white", 0.004),
        ("vessel-list visible", "visible", "vessel-list", 0.0),
    ],
)
def test_targets_are_read_as_a_person_says_them(said, kind, of, value):
    found = target_of(said, ZONES)
    assert (found.kind, found.of) == (kind, of)
    assert found.value == pytest.approx(value)
    assert target_of(found.text, ZONES) == found


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("clock-bagde contrast 3 %", "did you mean 'clock-badge'?"),
        ("harbour visible", "there are chart, vessel-list, clock-badge"),
        ("vessel-list 3 %", "say 'vessel-list contrast 3 %' or 'vessel-list visible'"),
        ("vessel-list visible 3 %", "'visible' takes no number"),
        ("blu 80 %", "did you mean 'blue'?"),
        ("", "It can be 'peak 90 %'"),
        ("peak", "between 0 and 100"),
        ("peak 120 %", "between 0 and 100"),
        ("peak %", "a number has to stand before the %"),
        ("white shift 4 %", "Δu'v', above 0 up to 0.1"),
        ("white shift 3", "Δu'v', above 0 up to 0.1"),
        ("chart contrast", "a contrast is in %"),
    ],
)
def test_what_is_no_target_is_said_in_one_sentence_with_what_there_is(said, words):
    with pytest.raises(UsageError) as error:
        target_of(said, ZONES)
    assert words in str(error.value)
    assert "\n" not in str(error.value)
    assert str(error.value).startswith(f"--until '{said}': ")


@pytest.mark.parametrize("said", ["peak 99.999999 %", "white shift 0.0000001", "chart contrast 99.99999 %"])
def test_a_number_is_said_back_as_it_was_typed(said):
    assert target_of(said, ZONES).text == said


TWINS = ("Badge", "badge", "BELL", "Door 5%")


@pytest.mark.parametrize(
    ("said", "zone"),
    [("Badge visible", "Badge"), ("badge visible", "badge"), ("badge contrast 3 %", "badge"), ("bell visible", "BELL"),
     ("Badge Contrast 3%", "Badge"), ("door 5 % contrast 3 %", "Door 5%"), ("Door 5% visible", "Door 5%")],
)  # fmt: skip
def test_of_zones_whose_names_differ_in_case_the_one_that_was_written_answers(said, zone):
    assert target_of(said, TWINS).of == zone


@pytest.mark.parametrize("said", ["BADGE visible", "bADGE contrast 3 %"])
def test_where_two_zones_may_be_meant_both_are_named(said):
    with pytest.raises(UsageError, match="'Badge' or 'badge'\\? Write it as one of them"):
        target_of(said, TWINS)


def test_a_panel_without_zones_is_told_so():
    with pytest.raises(UsageError, match="this panel has no zones; 'panelwear zones' draws them"):
        target_of("list visible", ())


def test_where_nothing_is_asked_for_the_next_loss_a_shift_and_every_zone_are():
    assert [t.text for t in first_targets(("list",), 0.87, shifted=True)] == [
        "peak 80 %",
        "white shift 0.004",
        "list visible",
    ]
    assert [t.text for t in first_targets((), 0.95, shifted=False)] == ["peak 90 %"]
    assert first_targets((), None, shifted=False) == ()
    assert first_targets((), 0.3, shifted=False) == (Target("kept", "white", 0.5, "peak 50 %"),)


def test_of_a_zone_that_is_visible_already_the_next_round_contrast_is_asked_for():
    assert next_contrast("list", -3.9) == Target("contrast", "list", 5.0, "list contrast 5 %")
    assert next_contrast("list", 0.9).value == 2.0
