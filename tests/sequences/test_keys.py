"""Names of patches, seats and places: what is printed is read again, and what is none is none."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from sequences.keys import MIDDLE, PairKey, PatchKey, thousandths

part = st.text(st.characters(exclude_characters="/", exclude_categories=("Cs", "Cc")), min_size=1, max_size=12)


@given(part, part, part, part, st.text(min_size=1, max_size=8))
def test_a_patch_key_is_read_as_it_was_printed(group: str, place: str, hue: str, level: str, geometry: str) -> None:
    key = PatchKey(group, place, hue, level, geometry)
    assert PatchKey.parse(str(key)) == key


def test_a_key_made_elsewhere_lacks_parts_and_is_read() -> None:
    assert PatchKey.parse("warm-up") == PatchKey("warm-up")


@given(st.text(min_size=1, max_size=20), st.integers(1, 4))
def test_a_seat_is_read_as_it_was_printed(zone: str, position: int) -> None:
    assert PairKey.parse(str(PairKey(zone, position))) == PairKey(zone, position)


def test_zones_with_a_dot_keep_it_and_patches_outside_a_quadruple_have_no_seat() -> None:
    assert PairKey.parse("a.b.3") == PairKey("a.b", 3)
    assert [PairKey("z", n).is_own for n in (1, 2, 3, 4)] == [True, False, False, True]
    assert [PairKey.parse(text) for text in ("", "zone", ".1", "zone.x")] == [None] * 4


def test_places_by_thousandths() -> None:
    assert thousandths("x100y900") == (100, 900)
    assert thousandths("centre") == MIDDLE
    assert thousandths("vessel-list") is None
