"""Tables and prose at a given width: what has room, what is broken, and that nothing is lost."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelwear.telling.layout import lines_of, text_of
from panelwear.telling.parts import Column, Exactly, Grid, Prose, grid, one_more, paragraphs
from panelwear.telling.progress import in_one_line
from panelwear.telling.words import MINUS, counted, percent, true_minus, verb

COLUMNS = (
    Column("figure"),
    Column("change", "%", number=True),
    Column("verdict"),
    Column("before", optional=True, breaks=False),
)
ROWS = (
    ("white, luminance (c255, w10)", "−2.8 ± 1.4", "changed", "410 ± 17 cd/m²"),
    ("  vessel-list, backplane part", "−0.31 ± 0.37", "changed, too little to matter (under 0.0022)", "—"),
)


def words_of(text: str) -> list[str]:
    return text.split()


def test_a_table_has_titles_units_and_numbers_at_the_right() -> None:
    assert text_of([grid(COLUMNS, ROWS)], 200).split("\n") == [
        "figure                               change  verdict                                       before",
        "                                          %",
        "white, luminance (c255, w10)     −2.8 ± 1.4  changed                                       410 ± 17 cd/m²",
        "  vessel-list, backplane part  −0.31 ± 0.37  changed, too little to matter (under 0.0022)  —",
    ]


def test_without_room_optional_columns_go_together_and_where_they_are_is_told() -> None:
    said = text_of([grid(COLUMNS, ROWS, 2, "with --csv changes")], 80)
    assert "410" not in said
    assert "(before: in 93 columns or with --csv changes)" in said
    assert max(map(len, said.split("\n"))) <= 80
    at_93 = text_of([grid(COLUMNS, ROWS, 2)], 93)
    assert "410 ± 17 cd/m²" in at_93
    assert max(map(len, at_93.split("\n"))) <= 93


def test_a_column_that_may_be_left_out_and_says_nothing_is_neither_shown_nor_told() -> None:
    columns = (Column("zone"), Column("note", optional=True), Column("seen"))
    rows = [("chart", "", "often and for a long time"), ("list", " ", "")]
    for width in (20, 80):
        assert "note" not in text_of([grid(columns, rows)], width)
    assert "note" in text_of([grid(columns, [*rows, ("badge", "dark", "")])], 80)


def test_where_columns_have_no_room_rows_stand_below_each_other_with_their_titles() -> None:
    assert text_of([grid(COLUMNS, ROWS)], 40).split("\n")[:4] == [
        "white, luminance (c255, w10)",
        "  change: −2.8 ± 1.4 %",
        "  verdict: changed",
        "  vessel-list, backplane part",
    ]


def test_a_number_stays_with_its_unit_and_a_command_on_one_line() -> None:
    said = "The luminance of the whole panel is 398 ± 16 cd/m², as 'panelwear compare DIR' has it, or < 0.5 % away."
    for width in range(30, 110):
        lines = lines_of(Prose(said), width)
        assert sum("398 ± 16 cd/m²" in line for line in lines) == 1, width
        assert sum("'panelwear compare DIR'" in line for line in lines) == 1, width
        assert sum("< 0.5 %" in line for line in lines) == 1, width
        assert max(map(len, lines)) <= width


def test_a_path_is_never_broken_and_a_drawing_stays_as_it_is() -> None:
    path = "/a/very/long-path/that-goes/on-and/on/and-on/readings.csv"
    assert f"  {path}" in text_of([Prose(f"Stored in {path} today", hang=2)], 30).split("\n")
    assert lines_of(Exactly(("+" * 90, " x")), 40) == ["+" * 90, " x"]


def test_paragraphs_hang_and_keep_their_own_spaces() -> None:
    first, second = paragraphs("one two three four", "  five six seven eight", indent=1)
    assert lines_of(first, 14) == [" one two three", "   four"]
    assert lines_of(second, 14) == ["   five six", "     seven", "     eight"]


def test_what_would_act_on_a_terminal_comes_out_escaped() -> None:
    for part in (Prose("a\x1b[2Jb"), Exactly(("a\x1b[2Jb",)), grid(("", ""), [("a\x1b[2Jb", "c")])):
        assert "\x1b" not in text_of([part], 80)
        assert "a\\x1b[2Jb" in text_of([part], 80)


def test_square_brackets_and_colons_are_no_markup() -> None:
    assert text_of([grid(("", ""), [("[bold]x[/bold]", ":smile:")])], 80) == "[bold]x[/bold]  :smile:"


def test_heads_and_rows_that_matter_are_bold_only_where_that_is_asked_for() -> None:
    strong = text_of([replace(grid(COLUMNS, ROWS), strong=frozenset({1}))], 120, styled=True).split("\n")
    assert ["\x1b[1m" in line for line in strong] == [True, True, False, True]
    assert "\x1b[1m" in text_of([grid(COLUMNS, ROWS)], 120, styled=True)
    assert "\x1b" not in text_of([grid(COLUMNS, ROWS)], 120)


def test_rows_that_come_one_by_one_stand_under_their_head() -> None:
    each = (Column("reading", number=True, at_least=7), Column("Y", "cd/m²", number=True, at_least=10), Column("flags"))
    said = text_of([grid(each, []), one_more(each, ("1", "95.2", "ok")), one_more(each, ("12", "101.75", "ok"))], 80)
    assert said.split("\n") == [
        "reading           Y  flags",
        "              cd/m²",
        "      1        95.2  ok",
        "     12      101.75  ok",
    ]


def test_letters_of_two_columns_are_counted_as_two() -> None:
    lines = text_of([grid(("zone", "size"), [("船の一覧", "1"), ("list", "2")])], 80).split("\n")
    assert lines == ["zone      size", "船の一覧  1", "list      2"]


CELL = st.text(st.sampled_from("abcÄö−± 12,./%²"), max_size=40).map(str.strip)


@given(
    st.lists(st.tuples(CELL, CELL, CELL), min_size=1, max_size=4),
    st.integers(20, 130),
    st.lists(st.booleans(), min_size=3, max_size=3),
)
def test_no_word_of_a_table_is_ever_lost(rows: list[tuple[str, str, str]], width: int, breaks: list[bool]) -> None:
    columns = tuple(Column(f"c{n}", breaks=broken) for n, broken in enumerate(breaks))
    said = text_of([Grid(columns, tuple(rows))], width)
    assert "…" not in said
    letters = sorted(sign for line in said.split("\n") for sign in line if sign != " ")
    wanted = sorted(sign for row in rows for cell in row for sign in cell if sign != " ")
    for sign in set(wanted):
        assert letters.count(sign) >= wanted.count(sign), sign


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        (counted(1, "reading"), "1 reading"),
        (counted(0, "reading"), "0 readings"),
        (counted(1236, "reading"), "1,236 readings"),
        (counted(2, "patch", "patches"), "2 patches"),
        (counted(-3, "day"), f"{MINUS}3 days"),
        (f"1 zone {verb(1, 'is')}, 2 zones {verb(2, 'is')}", "1 zone is, 2 zones are"),
        (percent(0.95), "95 %"),
        (percent(0.999), "99.9 %"),
        (percent(0.0015), "0.15 %"),
        (true_minus("-0.05"), f"{MINUS}0.05"),
        (true_minus("-0.00"), "0.00"),
        (true_minus("3"), "3"),
    ],
)
def test_counts_and_signs(said: str, wanted: str) -> None:
    assert said == wanted


def test_a_line_of_progress_leaves_out_whole_words_from_its_end() -> None:
    words = ("visit 3 of 12, patch 41 of 210", "12 min left", "grid/centre/grey/c128/full", "last: 98.2 cd/m²")
    whole = in_one_line(0.25, words, 1000)
    assert whole == f"[=====               ]  25 %  {'  '.join(words)}"
    assert in_one_line(0.25, words, 79) == f"[=====               ]  25 %  {'  '.join(words[:2])}"
    assert len(in_one_line(1.2, words, 40)) <= 40
