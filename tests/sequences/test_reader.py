"""The reader: every fault has its sentence, all are said at once, and nothing else is ever raised."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sequences.errors import SequenceError
from sequences.reader import SHIPPED, find, from_data, load, looks_like, parse, shipped
from sequences.schema import READ_GROUPS, STEP_KINDS, HoldStep, Ramp, ReadStep, Sequence, Until
from tests.sequences.expanding import GROUP_KEYS

HEAD = 'name = "x"\ndescription = "d"\n'
READ = HEAD + '[[steps]]\nkind = "read"\n[[steps.patches]]\n'


def faults_of(text: str) -> tuple[str, ...]:
    with pytest.raises(SequenceError) as caught:
        parse(text, "my.toml")
    return caught.value.problems


FAULTS = [
    ("", "my.toml: name: is missing; it must be text in quotes"),
    ("name = 3\n" + HEAD.split("\n")[1], "my.toml: name: expected text in quotes, got 3"),
    (HEAD, "my.toml: steps: is missing; it must be a list of blocks"),
    (HEAD + "steps = 3", "my.toml: steps: expected one or more [[steps]] blocks, got 3"),
    (HEAD + "steps = []", "my.toml: steps: expected one or more [[steps]] blocks, got []"),
    (HEAD + '[[steps]]\nkind = "raed"', "my.toml: steps[1].kind: 'raed' is not known; did you mean 'read'?"),
    (HEAD + "[[steps]]\nkind = 4", "my.toml: steps[1].kind: 4 is not known; allowed: ask, close-look, hold"),
    (HEAD + "[[steps]]\nminutes = 4", "my.toml: steps[1].kind: is missing; allowed: ask, close-look, hold, place"),
    (HEAD + 'colour = 3\n[[steps]]\nkind = "ask"', "my.toml: colour: unknown key; allowed: dark, description"),
    (HEAD + '[[steps]]\nkind = "ask"\ntopic = 3', "my.toml: steps[1].topic: unknown key; did you mean 'topics'?"),
    (
        HEAD + '[[steps]]\nkind = "ask"\ntopics = ["setings"]',
        "steps[1].topics[1]: 'setings' is not known; allowed: set",
    ),
    (HEAD + '[[steps]]\nkind = "ask"\ntopics = ["rest", "rest"]', "steps[1].topics: 'rest' is there twice"),
    (HEAD + '[[steps]]\nkind = "warm-up"\nminutes = true', "steps[1].minutes: expected a number (0 to 600), got true"),
    (
        HEAD + '[[steps]]\nkind = "warm-up"\nminutes = nan',
        "steps[1].minutes: nan is no number; expected a number (0 to 600)",
    ),
    (
        HEAD + '[[steps]]\nkind = "warm-up"\nminutes = 9e999',
        "steps[1].minutes: inf is no number; expected a number (0 to 600)",
    ),
    (HEAD + '[[steps]]\nkind = "warm-up"\nminutes = "4"', "steps[1].minutes: expected a number (0 to 600), got '4'"),
    (HEAD + '[[steps]]\nkind = "warm-up"\nread = 1', "steps[1].read: expected true or false, got 1"),
    (
        HEAD + '[[steps]]\nkind = "warm-up"\nminutes = 30\nmax_minutes = 20',
        "steps[1].max_minutes: 20 is less than minutes (30)",
    ),
    (HEAD + '[[steps]]\nkind = "place"\nat = "x1200y3"', "steps[1].at: 'x1200y3' is no place on the panel; allowed: c"),
    (HEAD + '[[steps]]\nkind = "place"\nat = "a b"', "steps[1].at: 'a b' is no place on the panel; allowed: centre"),
    (HEAD + '[[steps]]\nkind = "room"\nreads = 0', "steps[1].reads: 0 is out of range; allowed: 1 to 1000"),
    (HEAD + '[[steps]]\nkind = "read"', "steps[1].patches: is missing; it must be a list of blocks"),
    (READ + 'group = "ramps"\ncodes = [1]', "steps[1].patches[1].group: 'ramps' is not known; did you mean 'ramp'?"),
    (READ + 'group = "pattern"', "steps[1].patches[1].group: 'pattern' is not known"),
    (READ + 'group = "ramp"', "steps[1].patches[1]: has no level; give one of codes, cd_m2, share_of_peak, jnd_steps"),
    (READ + 'group = "ramp"\ncodes = [1]\ncd_m2 = [2]', "patches[1].cd_m2: stands beside codes; one of codes, cd_m2"),
    (READ + 'group = "ramp"\ncodes = [256]', "patches[1].codes[1]: 256 is out of range; allowed: 0 to 255"),
    (READ + 'group = "ramp"\ncodes = []', "codes: expected a list of one or more: a number (0 to 255), got []"),
    (READ + 'group = "ramp"\ncodes = 5', "codes: expected a list of one or more: a number (0 to 255), got 5"),
    (READ + 'group = "ramp"\ncodes = [5, 5.0]', "patches[1].codes: 5.0 is there twice; each may stand once"),
    (READ + 'group = "ramp"\ncd_m2 = [0]', "cd_m2[1]: 0 is out of range; allowed: above 0 up to 10000"),
    (READ + 'group = "ramp"\nshare_of_peak = [1.5]', "share_of_peak[1]: 1.5 is out of range; allowed: above 0 up to 1"),
    (READ + 'group = "ramp"\njnd_steps = 1', "jnd_steps: 1 is out of range; allowed: 2 to 255"),
    (READ + 'group = "ramp"\njnd_steps = 2.5', "jnd_steps: expected a whole number (2 to 255), got 2.5"),
    (READ + 'group = "ramp"\ncodes = [1]\nhues = ["pink"]', "hues[1]: 'pink' is not known; allowed: grey, red, green"),
    (READ + 'group = "ramp"\ncodes = [1]\nrefine = true', "refine: has no meaning for codes"),
    (READ + 'group = "ramp"\ncodes = [1]\npurpose = "A b"', "purpose: 'A b' must be a word of small letters"),
    (READ + 'group = "ramp"\ncodes = [1]\nplace = "a/b"', "place: 'a/b' is no place on the panel"),
    (READ + 'group = "ramp"\ncodes = [1]\nshare = 0', "share: 0 is out of range; allowed: 0.0005 to 1"),
    (
        READ + 'group = "ramp"\ncodes = [1]\nreads = "5"',
        "reads: expected a whole number (1 to 1000) or a table with unt",
    ),
    (READ + 'group = "ramp"\ncodes = [1]\nreads = {n = 3}', "reads.until: is missing; it must be a number (above 0 up"),
    (READ + 'group = "ramp"\ncodes = [1]\nreads = {until = 0.1, m = 3}', "reads.m: unknown key; "),
    (READ + 'group = "ramp"\ncodes = [1]\nreads = {until = 0.1, n = 9, max = 3}', "reads.max: 3 is less than n (9)"),
    (READ + 'group = "grid"\npoints = 7', "points: 7 is not known; allowed: 5, 9, 13, 25"),
    (READ + 'group = "grid"\nplace = "centre"', "place: has no meaning here; this group brings its own places"),
    (READ + 'group = "checkerboard"\ncolumns = 8', "columns: 8 puts the probe on the line between cells"),
    (READ + 'group = "zones"\ncodes = [9]\nnames = ["a b"]', "names: 'a b' cannot be a zone"),
    (READ + 'group = "zones"\ncodes = [9]\nnarrow = "strips"', "narrow: 'strips' is not known; allowed: strip, field,"),
    (HEAD.replace('"x"', '"X y"') + '[[steps]]\nkind = "ask"', "name: 'X y' must be a word of small letters, digits"),
    (HEAD.replace('"d"', '" "') + '[[steps]]\nkind = "ask"', "description: is empty; say in one sentence"),
    (HEAD + 'order = "random"\n[[steps]]\nkind = "ask"', "order: 'random' is not known; allowed: as-written, shuffled"),
    (HEAD + 'reading = 3\n[[steps]]\nkind = "ask"', "reading: expected a table with settle_s, reads, integration_s"),
    (HEAD + '[dark]\nreads = {until=0.1, n=9, max=8}\n[[steps]]\nkind = "ask"', "dark.reads.max: 8 is less than n (9)"),
    (
        HEAD + '[reference]\nevery = 0\n[[steps]]\nkind = "ask"',
        "reference.every: 0 is out of range; allowed: 1 to 1000",
    ),
    ("name = ", "my.toml: is not TOML ("),
    ("a = " + "[" * 5000, "my.toml: is nested too deeply to be TOML of panelwear"),
]


@pytest.mark.parametrize(("text", "sentence"), FAULTS)
def test_every_fault_has_its_sentence(text: str, sentence: str) -> None:
    found = faults_of(text)
    assert any(sentence in problem for problem in found), found
    assert all(problem.startswith("my.toml: ") for problem in found)


def test_a_word_that_only_resembles_a_point_may_be_a_zone() -> None:
    assert parse(READ + 'group = "ramp"\ncodes = [1]\nplace = "x1y"').steps


def test_all_faults_are_said_at_once() -> None:
    text = READ + 'group = "ramp"\ncodes = [300]\nshaer = 0.1\nhues = ["pink"]\n[[steps]]\nkind = "wait"\n'
    found = faults_of(text.replace('"x"', "1"))
    assert [problem.split(": ")[1] for problem in found] == [
        "name",
        "steps[1].patches[1].shaer",
        "steps[1].patches[1].hues[1]",
        "steps[1].patches[1].codes[1]",
        "steps[2].kind",
    ]
    assert found[1].endswith("unknown key; did you mean 'share'?")


def test_the_title_card_is_read_under_its_old_key_too() -> None:
    # Version 0.1.0 wrote `slate`; sequences of that time lie in checkpoints and in people's folders.
    step = "\n[[steps]]\nkind = 'hold'\n{}\n[[steps.patches]]\ngroup = 'field'\ncodes = [64]\n"
    seen = [parse(HEAD + step.format(f"{key} = false")).steps[0] for key in ("title_card", "slate")]
    assert [isinstance(one, HoldStep) and one.title_card for one in seen] == [False, False]
    assert any("slate" in problem for problem in faults_of(HEAD + step.format("title_card = false\nslate = true")))


def test_whole_numbers_stand_for_numbers() -> None:
    sequence = parse(READ + 'group = "ramp"\ncodes = [1, 2.5]\nsettle_s = 2\n')
    step = sequence.steps[0]
    assert isinstance(step, ReadStep)
    assert isinstance(step.patches[0], Ramp)
    assert step.patches[0].codes == (1.0, 2.5)
    assert isinstance(step.patches[0].settle_s, float)


def test_two_stage_reads_are_read() -> None:
    sequence = parse(READ + 'group = "ramp"\ncodes = [1]\nreads = { until = 0.002, until_cd_m2 = 0.003, max = 30 }\n')
    step = sequence.steps[0]
    assert isinstance(step, ReadStep)
    assert step.patches[0].reads == Until(until=0.002, until_cd_m2=0.003, max=30, n=5)


def test_bytes_that_are_not_utf8_are_refused() -> None:
    with pytest.raises(SequenceError, match=r"my.toml: byte 8: is not UTF-8"):
        parse(b'name = "\xff"', "my.toml")


def test_a_huge_file_is_refused() -> None:
    with pytest.raises(SequenceError, match="is larger than 1000000 bytes"):
        parse("#" * 1_000_001)


def test_a_missing_file_names_the_nearest_shipped_sequence() -> None:
    with pytest.raises(SequenceError, match="did you mean 'checkpoint'"):
        find("checkpont")
    with pytest.raises(
        SequenceError, match="shipped are by-eye, checkpoint, half-hour, spot, ten-minutes, uniformity, zones"
    ):
        find("nothing-like-it.toml")


@pytest.mark.parametrize("name", ["a" * 5000, "a\0b", ""])
def test_a_name_no_file_can_have_is_refused(name: str) -> None:
    with pytest.raises(SequenceError, match="there is no such sequence"):
        find(name)


def test_a_folder_is_no_sequence(tmp_path: Path) -> None:
    with pytest.raises(SequenceError, match="no such sequence and no such file"):
        load(tmp_path)


def test_a_path_is_read(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_bytes((SHIPPED / "spot.toml").read_bytes())
    assert load(path) == load("spot")


def test_shipped_files_are_told_from_others() -> None:
    for name in shipped():
        data = tomllib.loads((SHIPPED / f"{name}.toml").read_text("utf-8"))
        assert looks_like(data)
        assert data["name"] == name
    assert not looks_like({"pixels": [1, 2], "active_area_mm": [3, 4]})
    assert not looks_like({"steps": 3})


WORDS = st.sampled_from(
    [
        *GROUP_KEYS,
        *STEP_KINDS,
        *READ_GROUPS,
        "name",
        "description",
        "steps",
        "kind",
        "group",
        "patches",
        "reads",
        "until",
    ]
)
VALUES: st.SearchStrategy[Any] = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=5), WORDS),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(WORDS, inner, max_size=4)),
    max_leaves=12,
)


@settings(derandomize=True)
@given(st.dictionaries(WORDS, VALUES, max_size=6))
def test_any_parsed_file_gives_a_sequence_or_a_sequence_error(data: dict[str, Any]) -> None:
    try:
        assert isinstance(from_data(data), Sequence)
    except SequenceError as error:
        assert error.problems


GROUP = st.fixed_dictionaries(
    {"group": st.sampled_from(sorted(READ_GROUPS))}, optional=dict.fromkeys(GROUP_KEYS, VALUES)
)


@settings(derandomize=True)
@given(st.lists(GROUP, min_size=1, max_size=2))
def test_any_patch_group_gives_a_sequence_or_a_sequence_error(groups: list[dict[str, Any]]) -> None:
    data = {"name": "x", "description": "d", "steps": [{"kind": "read", "patches": groups}]}
    try:
        assert from_data(data).steps
    except SequenceError as error:
        assert error.problems
        assert all(problem.startswith("sequence.toml: ") for problem in error.problems)


@settings(derandomize=True)
@given(st.binary(max_size=60))
def test_any_bytes_give_a_sequence_or_a_sequence_error(raw: bytes) -> None:
    with pytest.raises(SequenceError):
        parse(raw)
