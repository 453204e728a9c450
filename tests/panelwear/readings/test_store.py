"""The journal: every line on the disk before the next, and a torn tail never hides a whole line."""

from __future__ import annotations

import csv
import io
import json
import os
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelwear.errors import FileFault, StorageFault
from panelwear.readings import records, store
from panelwear.readings.columns import Column, columns_of, table_of
from panelwear.readings.csvw import metadata
from panelwear.readings.row import Row
from tests.panelwear.readings.rows import SOME_ROW
from tests.references import value


@dataclass(frozen=True, slots=True)
class Pair:
    """Two columns are enough for a line."""

    text: Annotated[str, Column("", "anything", may_be_empty=True)]
    number: Annotated[float | None, Column("1", "a number or none")]


def test_a_record_is_quoted_as_rfc_4180_has_it() -> None:
    reference = value("CSV-01")

    assert records.line(reference["inputs"]["fields"]).decode() == reference["expected"]


def test_a_new_column_is_one_line_of_the_record() -> None:
    @dataclass(frozen=True)
    class Longer(Pair):
        """One more column."""

        edge_px: Annotated[int, Column("px", "Width of the edge", formerly="edge")]

    assert records.header(Longer) == b"text,number,edge_px\r\n"
    assert records.is_header(["text", "number", "edge"], Longer)
    assert table_of(Longer).endswith("| `edge_px` | integer | px | Width of the edge |")
    described = json.loads(metadata("longer.csv", Longer, title="Longer"))["tableSchema"]["columns"][2]
    assert (described["name"], described["datatype"], described["required"]) == ("edge_px", "integer", True)
    with pytest.raises(ValueError, match="column edge_px is empty"):
        records.parse(Longer, ["a", "1", ""])


def test_a_field_without_its_column_is_no_column() -> None:
    @dataclass(frozen=True)
    class Bare:
        """A type alone tells neither unit nor meaning."""

        luminance: float

    with pytest.raises(TypeError, match="luminance"):
        columns_of(Bare)


def test_many_records_are_read_as_each_alone_and_a_bad_one_is_named(tmp_path: Path) -> None:
    path = tmp_path / "pairs.csv"
    good = [["a", "1"], ["", ""], ["c", "2.5"]]
    assert records.parse_all(Pair, good) == [records.parse(Pair, cells) for cells in good]
    path.write_bytes(b"text,number\r\na,1\r\nb,x\r\nc\r\n")
    with pytest.raises(FileFault) as refused:
        store.read(path, Pair)
    assert [fault.partition(": ")[2] for fault in refused.value.problems] == [
        "record 3: column number: 'x' is not a number",
        "record 4: has 1 fields instead of 2",
    ]


@given(st.text(st.characters(codec="utf-8", exclude_characters="\x00")), st.none() | st.floats(allow_nan=False))
def test_any_record_reads_back_exactly(text: str, number: float | None) -> None:
    cells = next(csv.reader(io.StringIO(records.record_line(Pair(text, number)).decode(), newline="")))

    assert records.parse(Pair, cells) == Pair(text, number)


@pytest.mark.parametrize(
    ("given", "written"),
    [
        (np.float64(0.5), "0.5"),
        (np.float64(3.0), "3"),
        (np.float32(0.25), "0.25"),
        (np.int64(7), "7"),
        (np.bool_(True), "True"),
        (np.str_("ok"), "ok"),
        (True, "True"),
        (float("nan"), "nan"),
    ],
)
def test_numbers_of_numpy_are_written_as_plain_numbers(given: object, written: str) -> None:
    assert records.text_of(given) == written


def test_a_row_reads_back_exactly(tmp_path: Path) -> None:
    with store.Store(tmp_path / "readings.csv", Row) as journal:
        journal.append(SOME_ROW)

    assert store.read(tmp_path / "readings.csv", Row) == [SOME_ROW]


def test_metadata_is_written_before_the_first_row(tmp_path: Path) -> None:
    path = tmp_path / "readings.csv"

    with store.Store(path, Row, b"{}"):
        assert (tmp_path / "readings.csv-metadata.json").read_bytes() == b"{}"


def test_cut_anywhere_the_rows_before_the_cut_survive(tmp_path: Path) -> None:
    """Brute force over every truncation point of a file with quotes, commas and line ends inside fields."""
    path = tmp_path / "pairs.csv"
    pairs = [Pair('a "quoted", word', 1.5), Pair("two\r\nlines", None), Pair("", -0.25)]
    with store.Store(path, Pair) as journal:
        for pair in pairs:
            journal.append(pair)
    whole = path.read_bytes()
    header = len(records.header(Pair))

    for cut in range(len(whole) + 1):
        path.write_bytes(whole[:cut])
        could_be_read = store.read_journal(path, Pair)
        store.cut_torn_tail(path)
        survivors = store.read(path, Pair)
        assert survivors == could_be_read
        assert survivors == pairs[: len(survivors)]
        assert cut - store.whole_length(whole[:cut]) < max(header, *(len(records.record_line(p)) for p in pairs))


def test_cut_anywhere_and_opened_again_no_row_is_glued_to_what_was_torn(tmp_path: Path) -> None:
    """Brute force: an empty file, a torn header, a line that only lacks its CRLF, and everything between."""
    pairs = [Pair('a "quoted", word', 1.5), Pair("two\r\nlines", None)]
    whole = records.header(Pair) + b"".join(map(records.record_line, pairs))
    for cut in range(len(whole) + 1):
        path = tmp_path / f"{cut}.csv"
        path.write_bytes(whole[:cut])

        with store.Store(path, Pair) as journal:
            journal.append(Pair("next", 9.0))

        there = store.read(path, Pair)
        assert there == [*pairs[: len(there) - 1], Pair("next", 9.0)]
        kept = b"" if journal.torn_beside is None else journal.torn_beside.read_bytes()
        assert kept == whole[cut - len(kept) : cut]
        assert path.read_bytes().startswith(whole[: cut - len(kept)])


def test_an_empty_file_holds_no_records(tmp_path: Path) -> None:
    path = tmp_path / "pairs.csv"
    path.write_bytes(b"")

    assert store.read(path, Pair) == store.read_journal(path, Pair) == []


def test_a_file_of_other_columns_is_neither_cut_nor_written_to(tmp_path: Path) -> None:
    path = tmp_path / "pairs.csv"
    path.write_bytes(b"time,Y\r\n1,2")

    with pytest.raises(FileFault, match=r"docs/csv\.md"):
        store.Store(path, Pair)

    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == {"pairs.csv": b"time,Y\r\n1,2"}


def test_a_file_saved_with_bare_line_feeds_is_whole(tmp_path: Path) -> None:
    path = tmp_path / "pairs.csv"
    path.write_bytes(b"text,number\na,1\nb,2\n")

    assert store.cut_torn_tail(path) is None
    assert [p.text for p in store.read(path, Pair)] == ["a", "b"]


def test_a_field_too_long_for_any_reading_is_a_sentence(tmp_path: Path) -> None:
    path = tmp_path / "pairs.csv"
    path.write_bytes(b"text,number\r\n" + b"x" * 200_000 + b",1\r\n")

    with pytest.raises(FileFault, match="restore it from a copy"):
        store.read(path, Pair)


def test_what_cannot_be_read_is_a_sentence(tmp_path: Path) -> None:
    path = tmp_path / "pairs.csv"
    path.mkdir()

    for reader in (store.read, store.read_journal, store.Store):
        with pytest.raises(StorageFault, match="cannot be read"):
            reader(path, Pair)


def test_the_torn_bytes_are_kept_beside(tmp_path: Path) -> None:
    path = tmp_path / "pairs.csv"
    with store.Store(path, Pair) as journal:
        journal.append(Pair("whole", 1.0))
    path.write_bytes(path.read_bytes() + b"torn,2")

    beside = store.cut_torn_tail(path)

    assert beside is not None
    assert beside.read_bytes() == b"torn,2"
    assert store.cut_torn_tail(path) is None


def test_rows_set_aside_form_a_csv_of_their_own(tmp_path: Path) -> None:
    path = tmp_path / "pairs.csv"
    with store.Store(path, Pair) as journal:
        for n in range(4):
            journal.append(Pair(f"line\r\n{n}", float(n)))

    beside = store.set_aside(path, 1)

    assert beside is not None
    assert [p.number for p in store.read(beside, Pair)] == [1.0, 2.0, 3.0]
    assert [p.number for p in store.read(path, Pair)] == [0.0]


def test_every_line_that_does_not_fit_is_named(tmp_path: Path) -> None:
    path = tmp_path / "pairs.csv"
    path.write_bytes(b"text,number\r\na,1\r\nb,two\r\nc\r\n")

    with pytest.raises(FileFault) as caught:
        store.read(path, Pair)

    assert caught.value.problems == (
        "pairs.csv: record 3: column number: 'two' is not a number",
        "pairs.csv: record 4: has 1 fields instead of 2",
    )


def test_foreign_columns_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "readings.csv"
    path.write_bytes(b"time,Y\r\n1,2\r\n")

    with pytest.raises(FileFault, match=r"docs/csv\.md"):
        store.read(path, Row)


def test_a_missing_number_is_an_empty_field() -> None:
    line = records.record_line(replace(SOME_ROW, X_cd_m2=None, Z_cd_m2=None)).decode()

    assert ",,182.4," in line


def _replaced(path: Path) -> None:
    other = path.with_name("new")
    other.write_bytes(path.read_bytes()[: path.read_bytes().index(b"\r\n") + 2])
    other.replace(path)


def _lengthened(path: Path) -> None:
    path.write_bytes(path.read_bytes() + b"x,1\r\n")


@pytest.mark.parametrize(
    ("meddle", "said"),
    [(_replaced, "was replaced"), (Path.unlink, "was deleted or moved"), (_lengthened, "was changed")],
    ids=["saved-by-rename", "deleted", "lengthened"],
)
def test_a_file_taken_away_stops_the_run_and_all_that_was_read_is_kept_beside(
    tmp_path: Path, meddle: Callable[[Path], None], said: str
) -> None:
    path = tmp_path / "pairs.csv"
    with store.Store(path, Pair) as earlier:
        earlier.append(Pair("a", 1.0))
    journal = store.Store(path, Pair)
    journal.append(Pair("b", 2.0))

    meddle(path)
    with pytest.raises(StorageFault, match=f"{said} by another program .* 3 readings were kept in pairs.kept-1.csv"):
        journal.append(Pair("c", 3.0))
    journal.close()

    assert [p.number for p in store.read(tmp_path / "pairs.kept-1.csv", Pair)] == [1.0, 2.0, 3.0]
    assert sorted(p.name for p in tmp_path.iterdir() if "kept" in p.name) == ["pairs.kept-1.csv"]


def test_a_file_taken_away_after_the_last_line_is_noticed_when_the_run_ends(tmp_path: Path) -> None:
    path = tmp_path / "pairs.csv"
    journal = store.Store(path, Pair)
    journal.append(Pair("a", 1.0))
    path.unlink()

    with pytest.raises(StorageFault, match=r"1 readings were kept in pairs\.kept-1\.csv"):
        journal.close()


def test_how_far_a_file_was_written_is_the_same_told_by_the_writer_and_by_the_file(tmp_path: Path) -> None:
    path = tmp_path / "pairs.csv"
    with store.Store(path, Pair) as journal:
        told = [journal.written]
        for number in range(3):
            journal.append(Pair('line\r\nend, "quoted"', number))
            told.append(journal.written)

    assert [store.written_at(path, rows) for rows in range(4)] == told
    assert store.written_at(path) == told[-1]
    assert store.written_at(tmp_path / "none.csv").rows == 0


def test_records_of_later_blocks_keep_their_numbers_and_texts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(store, "BLOCK", 2)
    path = tmp_path / "pairs.csv"
    path.write_bytes(b"text,number\r\n" + b"a,1\r\n" * 5)
    assert [(p.text, p.number) for p in store.read(path, Pair)] == [("a", 1.0)] * 5
    path.write_bytes(b"text,number\r\n" + b"a,1\r\n" * 3 + b"b,two\r\n")
    with pytest.raises(FileFault) as caught:
        store.read(path, Pair)
    assert caught.value.problems == ("pairs.csv: record 5: column number: 'two' is not a number",)


def test_a_table_larger_than_any_of_ours_is_a_sentence(tmp_path: Path) -> None:
    path = tmp_path / "pairs.csv"
    with path.open("wb") as file:
        file.truncate(100_000_001)
    with pytest.raises(StorageFault, match="larger than 100000000 bytes"):
        store.read(path, Pair)


@pytest.mark.skipif(os.name != "posix", reason="Windows has no umask")
def test_the_umask_decides_who_may_read_new_readings(tmp_path: Path) -> None:
    before = os.umask(0o007)
    try:
        store.Store(tmp_path / "readings.csv", Row).close()
    finally:
        os.umask(before)
    assert (tmp_path / "readings.csv").stat().st_mode & 0o777 == 0o660
