import pytest
from hypothesis import given
from hypothesis import strategies as st

from probe_io.keyboard import KeyboardProbe, Typed, TypingError, parse_typed


class Person:
    """Types the lines of a list, and remembers what was asked."""

    def __init__(self, *lines):
        self.left = list(lines)
        self.asked = []

    def __call__(self, prompt):
        self.asked.append(prompt)
        return self.left.pop(0)


@pytest.mark.parametrize(
    ("text", "typed"),
    [
        ("182.4", Typed("Y", (182.4,))),
        ("182,4", Typed("Y", (182.4,))),
        ("182,4 0,3127 0,3290", Typed("Yxy", (182.4, 0.3127, 0.329))),
        ("182.4, 0.3127, 0.3290", Typed("Yxy", (182.4, 0.3127, 0.329))),
        ("182.4;0.3127;0.3290", Typed("Yxy", (182.4, 0.3127, 0.329))),
        ("173.4 182.4 198.6", Typed("XYZ", (173.4, 182.4, 198.6))),
        ("1.2 0.9 0.8", Typed("XYZ", (1.2, 0.9, 0.8))),
        ("XYZ 2.0 0.3 0.2", Typed("XYZ", (2.0, 0.3, 0.2))),
        ("yxy 0.02 0.31 0.33", Typed("Yxy", (0.02, 0.31, 0.33))),
        ("Y 3", Typed("Y", (3.0,))),
        ("1.2e-3", Typed("Y", (0.0012,))),
    ],
)
def test_what_is_typed_is_understood(text, typed):
    assert parse_typed(text) == typed


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "0 numbers"),
        ("1 2", "2 numbers"),
        ("1,234.5", "more than one decimal mark"),
        ("bright", "no number"),
        ("nan", "no number"),
        ("inf", "no number"),
        ("0.1 0.2 0.3", "could be Y x y or X Y Z"),
        ("Yxy 5 0.9 0.9", "no chromaticity"),
        ("-3", "below zero"),
        ("XYZ 5", "needs three"),
        ("Y 1 2 3", "needs one"),
        ("1_000", "no number"),
    ],
)
def test_what_cannot_be_understood_says_why(text, sentence):
    with pytest.raises(TypingError, match=sentence):
        parse_typed(text)


@given(st.text(max_size=40))
def test_no_typing_raises_anything_but_a_sentence(text):
    try:
        parse_typed(text)
    except TypingError as error:
        assert str(error)


def test_a_reading_is_shown_back_and_kept_with_return():
    person = Person("182,4 0,3127 0,3290", "")
    reading = KeyboardProbe(person).measure()
    assert reading.Y_cd_m2 == 182.4
    # CIE 15: X = Y x / y.
    assert reading.X_cd_m2 == pytest.approx(182.4 * 0.3127 / 0.3290)
    assert reading.flags == ("typed-in",)
    assert reading.raw == b"182,4 0,3127 0,3290"
    assert "Y 182.4  x 0.3127  y 0.329" in person.asked[1]


def test_back_corrects_the_last_one_before_it_is_stored():
    reading = KeyboardProbe(Person("1824", "back", "182.4", "")).measure()
    assert reading.Y_cd_m2 == 182.4


def test_a_new_line_in_place_of_return_replaces_the_last_one():
    assert KeyboardProbe(Person("1824", "182.4", "")).measure().Y_cd_m2 == 182.4


def test_back_after_storing_says_that_it_is_stored():
    person = Person("1", "", "back", "2", "")
    probe = KeyboardProbe(person)
    assert [probe.measure().Y_cd_m2, probe.measure().Y_cd_m2] == [1.0, 2.0]
    assert "stored already" in person.asked[3]


def test_back_is_handed_on_where_what_is_stored_can_be_corrected():
    def corrects():
        raise LookupError("the one before")

    person = Person("back")
    with pytest.raises(LookupError, match="the one before"):
        KeyboardProbe(person, back=corrects).measure()
    assert "'back' corrects the one before" in person.asked[0]


def test_a_skip_needs_its_reason():
    person = Person("skip", "skip the meter slipped")
    reading = KeyboardProbe(person).measure()
    assert (reading.Y_cd_m2, reading.flags, reading.note) == (None, ("skipped",), "the meter slipped")
    assert "Say why" in person.asked[1]


def test_a_mistake_is_explained_and_asked_again():
    person = Person("dark", "0.5", "")
    assert KeyboardProbe(person).measure().Y_cd_m2 == 0.5
    assert person.asked[1].startswith("'dark' is no number")


def test_what_was_meant_before_settles_what_could_be_both():
    probe = KeyboardProbe(Person("12 0.31 0.33", "", "0.2 0.31 0.33", ""))
    probe.measure()
    second = probe.measure()
    assert (second.Y_cd_m2, second.X_cd_m2) == (0.2, pytest.approx(0.2 * 0.31 / 0.33))


def test_a_meter_in_footlamberts_is_converted():
    # 1 fL = 3.426 259 cd/m² (NIST SP 811).
    assert KeyboardProbe(Person("10", ""), unit="fL").measure().Y_cd_m2 == pytest.approx(34.26259, rel=1e-6)


def test_a_person_who_stops_is_let_go():
    def stop(prompt):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        KeyboardProbe(stop).measure()


def test_numbers_below_1_that_are_no_chromaticity_are_questioned_before_they_are_kept():
    person = Person("12.6 0.9 0.9", "12.6 0.3 0.3", "")
    reading = KeyboardProbe(person).measure()
    assert "Taken as X Y Z, because 0.9 and 0.9 sum to 1 or more" in person.asked[1]
    assert "Taken as" not in person.asked[2]
    assert reading.Y_cd_m2 == 12.6


def test_who_says_or_has_typed_xyz_is_not_questioned():
    person = Person("XYZ 12.6 0.9 0.9", "", "1.2 0.9 0.8", "")
    probe = KeyboardProbe(person)
    assert [probe.measure().Y_cd_m2, probe.measure().Y_cd_m2] == [0.9, 0.9]
    assert not any("Taken as" in prompt for prompt in person.asked)


@pytest.mark.parametrize(("typed", "asked"), [("723", True), ("7,23", True), ("71.0", False), ("100", False)])
def test_a_reading_far_from_those_before_is_asked_about_and_return_keeps_it(typed, asked):
    person = Person(typed, "")
    reading = KeyboardProbe(person, before=lambda: 72.3).measure()
    assert ("Is that right? The readings before were 72.3 cd/m²" in person.asked[-1]) == asked
    assert reading.Y_cd_m2 == float(typed.replace(",", "."))


def test_a_slip_of_the_decimal_mark_is_typed_again():
    person = Person("723", "72,5", "")
    assert KeyboardProbe(person, before=lambda: 72.3).measure().Y_cd_m2 == 72.5
    assert "Is that right" not in person.asked[-1]


def test_in_the_dark_nothing_is_far_from_anything():
    person = Person("0.02", "")
    KeyboardProbe(person, before=lambda: 0.002).measure()
    assert "Is that right" not in person.asked[-1]
