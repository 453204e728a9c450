"""Readers raise errors of their trees only, whatever the bytes; the judge notices one that does not."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchmarks.guided_fuzz import MISSING, main
from benchmarks.support.readers import TREES, judged, readers

FOUND = (
    ("pairs", b"colour\n\r\r,,"),
    ("pairs", b"colour,probe_X\rred,1"),
)
"""Inputs that ended in an error of no tree."""


def names() -> list[str]:
    return sorted(readers(Path()))


@pytest.mark.parametrize("name", names())
def test_the_sound_input_is_read_and_what_is_damaged_breaks_no_promise(tmp_path: Path, name: str) -> None:
    reader = readers(tmp_path)[name]
    reader.read(reader.sound)
    for damaged in (b"", reader.sound[:-9], reader.sound.replace(b"0", b"\xff"), reader.sound * 2):
        assert judged(reader.read, damaged) == ""


@pytest.mark.parametrize(("name", "data"), FOUND)
def test_what_was_found_ends_with_an_error_of_the_tree(tmp_path: Path, name: str, data: bytes) -> None:
    assert judged(readers(tmp_path)[name].read, data) == ""


def test_a_reader_that_raises_anything_else_is_noticed() -> None:
    def careless(data: bytes) -> None:
        int(data)

    assert judged(careless, b"x").startswith("ValueError in test_guided_fuzz.py, line ")
    assert judged(careless, b"1") == ""
    assert not any(issubclass(ValueError, tree) for tree in TREES)


def test_without_the_fuzzer_a_sentence_says_how_to_install_it(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("importlib.util.find_spec", lambda _: None)
    monkeypatch.setattr("sys.argv", ["guided_fuzz", "--seconds", "1"])
    assert main() == 2
    assert capsys.readouterr() == ("", f"{MISSING}\n")
