"""How wide the terminal is taken to be, and what is written on it."""

from __future__ import annotations

import io
import os
import sys

import pytest

from panelwear.telling import out
from panelwear.telling.parts import Prose, aside, grid
from panelwear.telling.progress import bar

SENTENCE = "A sentence that is broken where the line of a narrow terminal ends, and stays whole elsewhere: in a file."


class Console(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.fixture
def plain(monkeypatch: pytest.MonkeyPatch) -> pytest.MonkeyPatch:
    for name in ("COLUMNS", "NO_COLOR"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm")
    return monkeypatch


def test_a_pipe_has_a_hundred_columns_and_columns_says_otherwise(plain: pytest.MonkeyPatch) -> None:
    assert out.width_of(io.StringIO()) == 100
    plain.setenv("COLUMNS", "80")
    assert out.width_of(io.StringIO()) == out.width_of(Console()) == 80
    plain.setenv("COLUMNS", "nonsense")
    assert out.width_of(io.StringIO()) == 100
    plain.setenv("COLUMNS", "3")
    assert out.width_of(io.StringIO()) == out.NARROWEST


@pytest.mark.parametrize(("terminal", "taken"), [(80, 80), (120, 120), (300, out.WIDEST), (20, out.NARROWEST)])
def test_a_terminal_is_as_wide_as_it_is_up_to_what_can_be_read(
    plain: pytest.MonkeyPatch, terminal: int, taken: int
) -> None:
    plain.setattr("shutil.get_terminal_size", lambda _fallback: os.terminal_size((terminal, 24)))
    assert out.width_of(Console()) == taken


def test_bold_letters_are_for_terminals_that_know_them_and_not_with_no_color(plain: pytest.MonkeyPatch) -> None:
    table = grid(("head",), [("cell",)])

    def said(stream: io.StringIO) -> str:
        out.tell([table], file=stream)
        return stream.getvalue()

    assert "\x1b[1mhead" in said(Console())
    assert said(io.StringIO()) == "head\ncell\n"
    plain.setenv("NO_COLOR", "1")
    assert said(Console()) == "head\ncell\n"
    plain.delenv("NO_COLOR")
    plain.setenv("TERM", "dumb")
    assert said(Console()) == "head\ncell\n"


def test_quiet_leaves_out_what_is_said_by_the_way(plain: pytest.MonkeyPatch) -> None:
    stream = io.StringIO()
    out.tell([Prose("asked for"), *aside(Prose("by the way"))], quiet=True, file=stream)
    out.tell(aside(Prose("by the way")), quiet=True, file=stream)
    assert stream.getvalue() == "asked for\n"


def test_a_fault_is_broken_on_a_terminal_and_one_line_elsewhere(plain: pytest.MonkeyPatch) -> None:
    plain.setenv("COLUMNS", "50")
    assert out.one_sentence(SENTENCE, io.StringIO()) == SENTENCE
    assert max(map(len, out.one_sentence(SENTENCE, Console()).split("\n"))) <= 50
    assert "\x1b" not in out.one_sentence("a\x1b[2Jb", Console())


def test_a_bar_is_shown_on_a_terminal_alone_and_what_is_said_stays(plain: pytest.MonkeyPatch) -> None:
    for stream, seen in ((Console(), True), (io.StringIO(), False)):
        plain.setattr(sys, "stdout", stream)
        with bar() as shown:
            shown.share(0.5, "0 h  step 3 of 6")
            shown.parts(Prose("2026-01-05-h0: 1 reading"))
            shown.share(1.0, "0 h  step 6 of 6")
        assert ("50 %" in stream.getvalue(), "step 3 of 6" in stream.getvalue()) == (seen, seen)
        assert "2026-01-05-h0: 1 reading\n" in stream.getvalue()
    quiet = Console()
    plain.setattr(sys, "stdout", quiet)
    with bar(quiet=True) as shown:
        shown.share(0.5, "0 h")
        shown.parts(*aside(Prose("by the way")))
    assert quiet.getvalue() == ""
