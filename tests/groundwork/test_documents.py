"""Whatever lies in a file: plain data, or the caller's own error with sentences."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from groundwork.documents import DEEPEST, parse_json, parse_toml


class Refused(Exception):  # noqa: N818 - stands for a package's own error
    def __init__(self, problems: tuple[str, ...]) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


def test_what_is_there_is_read_with_the_mark_that_some_editors_set() -> None:
    assert parse_toml('\ufeffname = "é"'.encode(), "a.toml", Refused) == {"name": "é"}
    assert parse_json('\ufeff{"name": "é"}'.encode(), "a.json", Refused) == {"name": "é"}


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (b"a = ", "a.toml: is not TOML (Invalid value (at end of document))"),
        (b'a = "\xff"', "a.toml: byte 5: is not UTF-8; save the file as UTF-8"),
        ('a = "b"'.encode("utf-16"), "a.toml: byte 0: is not UTF-8; save the file as UTF-8"),
        (b"#" * 1_000_001, "a.toml: is larger than 1000000 bytes; it cannot be a file of panelwear"),
        (b"a = " + b"[" * 10_000, "a.toml: is nested too deeply to be TOML of panelwear"),
        (b"a = " + b"{b = " * 10_000, "a.toml: is nested too deeply to be TOML of panelwear"),
        (b".".join([b"a"] * 10_000) + b" = 1", "a.toml: is nested too deeply to be TOML of panelwear"),
        (b"a = " + b"9" * 5_000, "a.toml: is not TOML (Exceeds the limit (4300 digits) for integer string"),
    ],
)
def test_what_is_no_toml_is_one_sentence(raw: bytes, said: str) -> None:
    with pytest.raises(Refused) as caught:
        parse_toml(raw, "a.toml", Refused)
    (sentence,) = caught.value.problems
    assert sentence.startswith(said)


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (b"{", "a.json: is not JSON (Expecting property name"),
        (b"[" * 10_000 + b"]" * 10_000, "a.json: is nested too deeply to be JSON of panelwear"),
        (b"[" * (DEEPEST + 1) + b"]" * (DEEPEST + 1), "a.json: is nested too deeply to be JSON of panelwear"),
        (b'{"a": NaN}', "a.json: is not JSON (NaN is no number of JSON)"),
        (b"\xff", "a.json: byte 0: is not UTF-8"),
    ],
)
def test_what_is_no_json_is_one_sentence(raw: bytes, said: str) -> None:
    with pytest.raises(Refused) as caught:
        parse_json(raw, "a.json", Refused)
    (sentence,) = caught.value.problems
    assert sentence.startswith(said)


def test_every_number_that_is_too_large_for_one_is_told_with_its_key() -> None:
    with pytest.raises(Refused) as caught:
        parse_json('{"a": [1, {"b": 1e999}], "c": -1e999}', "a.json", Refused)
    assert caught.value.problems == ("a.json: a[2].b: inf is no number", "a.json: c: -inf is no number")


def test_what_is_as_deep_as_allowed_is_read() -> None:
    assert parse_json("[" * DEEPEST + "]" * DEEPEST, "a.json", Refused)


@given(st.binary(max_size=60))
def test_any_bytes_are_data_or_the_callers_error(raw: bytes) -> None:
    for parse in (parse_toml, parse_json):
        try:
            parse(raw, "a", Refused)
        except Refused as error:
            assert error.problems
