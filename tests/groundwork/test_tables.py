"""Tables into records: what a field may say of itself, and that nothing a table holds makes the reader stumble."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from groundwork.tables import LOOSE, NOT_A_KEY, called, chosen, limits, made_by, one_of, read
from tests.groundwork.test_documents import Refused


def pace_of(text: str, about: str) -> str:
    if text == "never":
        raise ValueError(f"{text} is no pace {about}")
    return text.upper()


@dataclass(frozen=True, slots=True)
class Lamp:
    level_cd_m2: float = field(metadata=limits(above=0, high=100))
    wait_s: float | None = field(default=None, metadata=limits(low=0))


@dataclass(frozen=True, slots=True)
class Walk:
    steps: int = 1


@dataclass(frozen=True, slots=True)
class Stand:
    name: str
    lamp: Lamp
    colour: Literal["red", "green"] = "red"
    meter: str = field(default="near", metadata=one_of(["near", "far"]))
    pace: str = field(default="", metadata=made_by(pace_of))
    marks: tuple[int, ...] = field(default=(1,), metadata=limits(low=0, high=9))
    notes: tuple[str, ...] = field(default=(), metadata=LOOSE)
    lamps: tuple[Lamp, ...] = field(default=(), metadata=LOOSE)
    known: dict[str, int] = field(default_factory=dict)
    free: dict[str, Any] = field(default_factory=dict)
    shown: bool = field(default=True, metadata=called("visible"))
    source: str = field(default="", metadata=NOT_A_KEY)
    wish: float | str = 1.0

    def faults(self) -> Iterator[tuple[str, str]]:
        if len(self.name) > 8:
            yield "name", "is too long"
        if self.lamp.level_cd_m2 > 50 and self.colour == "red":
            yield "", "red is never so bright"


GOOD: dict[str, Any] = {"name": "desk", "lamp": {"level_cd_m2": 3}}


def faults_of(**more: Any) -> list[str]:
    with pytest.raises(Refused) as caught:
        read(Stand, {**GOOD, **more}, "f", Refused, about="here")
    return [problem.removeprefix("f: ") for problem in caught.value.problems]


def test_what_is_not_stated_has_its_default_and_a_whole_number_stands_for_a_number() -> None:
    made = read(Stand, {**GOOD, "visible": False, "pace": "slow", "notes": []}, "f", Refused)
    assert made == Stand("desk", Lamp(3.0), pace="SLOW", shown=False)
    assert isinstance(made.lamp.level_cd_m2, float)


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("nmae", 1, "nmae: unknown key; did you mean 'name'?"),
        ("source", "x", "source: unknown key; allowed: colour, free"),
        ("shown", True, "shown: unknown key; "),
        ("name", None, "name: expected text in quotes, got null"),
        ("na\x1b[2Jme", 1, "na\\x1b[2Jme: unknown key; "),
        ("colour", "\x1b\n", "colour: '\\x1b\\n' is not known; "),
        ("name", "far too long", "name: is too long"),
        ("lamp", 3, "lamp: expected a table with level_cd_m2, wait_s, got 3"),
        ("lamp", {}, "lamp.level_cd_m2: is missing; it must be a number (above 0 up to 100 cd/m²)"),
        ("lamp", {"level_cd_m2": 0}, "lamp.level_cd_m2: 0 is out of range; allowed: above 0 up to 100 cd/m²"),
        ("lamp", {"level_cd_m2": 60}, "red is never so bright"),
        ("lamp", {"level_cd_m2": 1, "wait_s": -1}, "lamp.wait_s: -1 is out of range; allowed: 0 or more s"),
        ("colour", "gren", "colour: 'gren' is not known; allowed: red, green (did you mean 'green'?)"),
        ("meter", ["far"], "meter: ['far'] is not known; allowed: near, far"),
        ("pace", 3, "pace: expected text in quotes, got 3"),
        ("pace", "never", "pace: never is no pace here"),
        ("marks", [], "marks: expected a list of one or more: a whole number (0 to 9), got []"),
        ("marks", [1, 1], "marks: 1 is there twice; each may stand once"),
        ("marks", [2**999], "marks[1]: a number of very many digits is out of range; allowed: 0 to 9"),
        ("lamps", 3, "lamps: expected [[lamps]] blocks, got 3"),
        ("lamps", [3], "lamps[1]: expected a table with level_cd_m2, wait_s, got 3"),
        ("known", {"a": "b"}, "known.a: expected a whole number, got 'b'"),
        ("free", {"a": [1, float("nan")]}, "free.a[2]: nan is no number"),
        ("wish", True, "wish: expected a number or text in quotes, got true"),
    ],
)
def test_each_fault_has_its_sentence(key: str, value: object, said: str) -> None:
    (sentence,) = faults_of(**{key: value})
    assert sentence.startswith(said)


def test_what_does_not_go_together_is_told_beside_other_faults_as_far_as_it_can_be() -> None:
    assert faults_of(name="far too long", wish=True) == [
        "wish: expected a number or text in quotes, got true",
        "name: is too long",
    ]
    assert faults_of(name="far too long", lamp=3)[-1] == "name: is too long"


def test_what_is_no_table_at_all_is_a_fault() -> None:
    with pytest.raises(Refused, match=r"f: expected a table with steps, got \[1\]"):
        read(Walk, [1], "f", Refused)


def test_unknown_keys_pass_where_the_program_wrote_the_file() -> None:
    assert read(Stand, {**GOOD, "later": 1}, "f", Refused, unknown_too=False) == read(Stand, GOOD, "f", Refused)


def test_a_mistake_in_what_is_asked_between_keys_is_not_hidden() -> None:
    @dataclass(frozen=True)
    class Wrong:
        name: str

        def faults(self) -> Iterator[tuple[str, str]]:
            yield "name", self.nmae  # type: ignore[attr-defined]

    with pytest.raises(AttributeError):
        read(Wrong, {"name": 3}, "f", Refused)


@dataclass(frozen=True, slots=True)
class Day:
    parts: tuple[Lamp | Walk, ...] = chosen("kind", {"lamp": Lamp, "walk": Walk})


def test_a_list_of_blocks_is_read_by_the_kind_of_each() -> None:
    data = {"parts": [{"kind": "walk", "steps": 4}, {"kind": "lamp", "level_cd_m2": 2}]}
    assert read(Day, data, "f", Refused).parts == (Walk(4), Lamp(2.0))
    with pytest.raises(Refused, match=r"f: parts\[1\]\.kind: 'wlak' is not known; did you mean 'walk'\?"):
        read(Day, {"parts": [{"kind": "wlak"}]}, "f", Refused)


ANYTHING: st.SearchStrategy[Any] = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=4),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=3),
    max_leaves=8,
)


@given(st.fixed_dictionaries({}, optional=dict.fromkeys([*Stand.__dataclass_fields__, "visible", "x"], ANYTHING)))
def test_any_table_is_a_record_or_the_callers_error(data: dict[str, Any]) -> None:
    try:
        assert isinstance(read(Stand, data, "f", Refused), Stand)
    except Refused as error:
        assert all(problem.startswith("f: ") for problem in error.problems)
