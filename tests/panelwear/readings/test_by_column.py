"""The reader by columns held against the one record by record: the same records, the same faults in the same words."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelwear.errors import FileFault, StorageFault
from panelwear.readings import by_column, plain, records, store
from panelwear.readings.by_column import read_columns
from panelwear.readings.columns import Column, columns_of
from panelwear.readings.instants import LENGTH, since_1970, usual_form
from panelwear.readings.row import Row
from panelwear.readings.scan import scan, written_in
from tests.panelwear.readings.rows import SOME_ROW


@dataclass(frozen=True, slots=True)
class Reading:
    """One column of each kind."""

    number: Annotated[int, Column("1", "a whole number")]
    moment: Annotated[str, Column("", "a moment", datatype="dateTime", formerly="when")]
    value: Annotated[float | None, Column("1", "a real number or none")]
    count: Annotated[int | None, Column("1", "a whole number or none")]
    text: Annotated[str, Column("", "anything", may_be_empty=True)]


HEADER = records.header(Reading)


def one_by_one(path: Path, kind: type = Reading) -> list[tuple[Any, ...]] | tuple[str, ...]:
    """Return what the reader of records makes of a file, moments as seconds."""
    columns = columns_of(kind)
    try:
        found: list[Any] = store.read_journal(path, kind)
    except FileFault as error:
        return error.problems
    return [tuple(_plain(c.is_moment, getattr(r, c.name)) for c in columns) for r in found]


def _plain(is_moment: bool, value: Any) -> Any:
    return repr(since_1970(value) if is_moment else value)


def at_once(path: Path, kind: type = Reading) -> list[tuple[Any, ...]] | tuple[str, ...]:
    """Return what the reader by columns makes of a file."""
    try:
        found = read_columns(path, kind)
    except FileFault as error:
        return error.problems
    listed = []
    for column in columns_of(kind):
        if column.name in found.texts:
            listed.append([repr(text) for text in found.texts[column.name].tolist()])
            continue
        missing = found.missing.get(column.name, np.zeros(len(found), dtype=bool)).tolist()
        values = found.numbers[column.name].tolist()
        listed.append(["None" if gone else repr(value) for value, gone in zip(values, missing, strict=True)])
    return [*zip(*listed, strict=True)] if len(found) else []


def both(path: Path, data: bytes, kind: type = Reading) -> Any:
    """Write a file, hold the two readers against each other, and return what they say."""
    path.write_bytes(data)
    wanted = one_by_one(path, kind)
    assert at_once(path, kind) == wanted
    return wanted


MOMENTS = st.one_of(
    st.datetimes().map(lambda when: f"{when.isoformat(timespec='milliseconds')}Z"),
    st.datetimes().map(lambda when: when.isoformat()),
    st.from_regex(r"[0-9]{4}-[01][0-9]-[0-3][0-9]T[0-2][0-9]:[0-6][0-9]:[0-6][0-9]\.[0-9]{3}Z", fullmatch=True),
    st.sampled_from(["", "yesterday", "2026-01-05T18:00:34.100+02:00", "2026-01-05"]),
)
REALS = st.one_of(
    st.floats().map(repr),
    st.floats(0, 400).map(lambda value: f"{value:.7g}"),
    st.from_regex(r"-?[0-9]{0,20}\.?[0-9]{0,25}", fullmatch=True),
    st.sampled_from(["", "nan", "-inf", "1e400", "-0", " 1", "1_0", "+2", ".", "-", "٣", "9007199254740993", "0x1"]),
)
WHOLES = st.one_of(
    st.integers(-(2**64), 2**64).map(str),
    st.integers(0, 99).map(str),
    st.sampled_from(["", "007", "-0", "1.0", "1_0", " 4", "9" * 18, str(2**63), str(-(2**63)), "9" * 5000]),
)
WORDS = st.one_of(st.sampled_from(["", "ok", "low-light", "a,b", 'say "no"', "two\r\nlines", "é"]), st.text(max_size=8))
FIELDS = st.tuples(
    st.one_of(st.integers(0, 99).map(str), WHOLES), MOMENTS, REALS, st.one_of(st.just(""), WHOLES), WORDS
)
SOUND = st.tuples(st.integers(0, 9).map(str), MOMENTS, st.floats().map(repr), st.just(""), WORDS)
ODD_BYTES = st.sampled_from([b'"', b",", b"\r", b"\n", b"\r\n", b"\0", b"\xff", b"\xc3", b"\xef\xbb\xbf", b"x", b" "])


def bytes_of(rows: list[tuple[str, ...]], bare: bool = False) -> bytes:
    """Make a CSV of rows of cells."""
    data = HEADER + b"".join(records.line(cells) for cells in rows)
    return data.replace(b"\r\n", b"\n") if bare else data


@settings(max_examples=300, deadline=None)
@given(
    rows=st.lists(st.one_of(FIELDS, SOUND), max_size=12), bare=st.booleans(), piece=st.sampled_from([64, 300, 1 << 22])
)
def test_any_fields_read_the_same(
    tmp_path_factory: pytest.TempPathFactory, rows: list[tuple[str, ...]], bare: bool, piece: int
) -> None:
    with pytest.MonkeyPatch.context() as patched:
        _in_pieces(patched, piece)
        both(tmp_path_factory.mktemp("any") / "readings.csv", bytes_of(rows, bare))


def _in_pieces(patched: pytest.MonkeyPatch, size: int) -> None:
    for module in ("scan", "by_column"):
        patched.setattr(f"panelwear.readings.{module}.PIECE", size)


@settings(max_examples=400, deadline=None)
@given(
    rows=st.lists(SOUND, min_size=1, max_size=12),
    changes=st.lists(st.tuples(st.floats(0, 1), ODD_BYTES, st.integers(0, 3)), max_size=4),
    cut=st.none() | st.floats(0, 1),
    piece=st.sampled_from([48, 200, 1 << 22]),
)
def test_a_damaged_file_reads_the_same(
    tmp_path_factory: pytest.TempPathFactory,
    rows: list[tuple[str, ...]],
    changes: list[tuple[float, bytes, int]],
    cut: float | None,
    piece: int,
) -> None:
    data = bytes_of(rows)
    for place, put, taken in changes:
        at = int(place * len(data))
        data = data[:at] + put + data[at + taken :]
    data = data if cut is None else data[: int(cut * len(data))]
    with pytest.MonkeyPatch.context() as patched:
        _in_pieces(patched, piece)
        both(tmp_path_factory.mktemp("odd") / "readings.csv", data)


@pytest.mark.parametrize("piece", [40, 1 << 22])
@pytest.mark.parametrize(
    "tail",
    [
        b"2,,3,,a\r\r3,,4,,b\r\n4,,5,,c\r\n",  # a lone return ends a line, too
        b'2,,3,,a"b\r\n3,,4,,"c\r\n4,,5,,d"\r\n5,,6,,e\r\n',  # a quote inside a field is one, a field of two lines
        b'2,,3,,"a"b\r\n3,,4,,c\r\n',
        b"2,,3,,a\r\n\r\n3,,4,,b\r\n",  # a line without anything
        b"2,,3,,a\r\n3,,4,,b",
        b"2,,3,,a\n3,,4,,b\r\n",
        b"2,,3,,a,\r\n3,4,,b\r\n",  # one field too many, one too few
        b"2,,3,," + b"x" * 140_000 + b"\r\n3,,4,,b\r\n",
        b"2,,3,,a\r\n3,,x,,\xff\r\n",
        b'2,,3,,"never closed\r\n3,,4,,b\r\n',
    ],
)
def test_odd_lines_read_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, tail: bytes, piece: int) -> None:
    _in_pieces(monkeypatch, piece)
    for before in (b"", b"1,2026-01-05T18:00:34.100Z,0.5,,ok\r\n" * 9):
        both(tmp_path / "readings.csv", HEADER + before + tail)


def test_every_place_to_cut_reads_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _in_pieces(monkeypatch, 50)
    data = bytes_of([("1", "", "0.5", "", "a"), ("2", "", "", "7", 'b "c"'), ("3", "", "1e3", "", "d\r\ne")])

    lengths = [len(both(tmp_path / "readings.csv", data[:cut])) for cut in range(len(data) + 1)]

    assert lengths[0] == 0
    assert lengths[-1] == 3


def test_columns_by_their_former_names_and_no_others_are_read(tmp_path: Path) -> None:
    path, row = tmp_path / "readings.csv", b"1,2026-01-05,0.5,,ok\r\n"

    assert len(both(path, HEADER.replace(b"moment", b"when") + row)) == 1
    for other in (b"\xef\xbb\xbf" + HEADER, HEADER.replace(b"count", b"counts"), b"\r\n"):
        (said,) = both(path, other + row)
        assert "the columns are not those of docs/csv.md" in said
    assert both(path, b"") == []


def test_every_fault_is_told_with_its_record_across_pieces(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _in_pieces(monkeypatch, 64)
    rows = [(str(i), "", "x" if i in {7, 23} else "1", "", "a,b" if i == 11 else "ok") for i in range(1, 31)]

    assert both(tmp_path / "readings.csv", bytes_of(rows)) == (
        "readings.csv: record 8: column value: 'x' is not a number",
        "readings.csv: record 24: column value: 'x' is not a number",
    )


def test_plain_lines_are_not_read_one_by_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The careful reader gets only the blocks that need it: else nothing would be won."""
    taken: list[int] = []
    careful: Callable[..., None] = by_column._Reader._take
    monkeypatch.setattr(
        by_column._Reader, "_take", lambda self, block: (taken.append(len(block)), careful(self, block))
    )
    lines = [records.record_line(replace(SOME_ROW, row=i + 1, note="")) for i in range(500)]
    lines[250] = records.record_line(replace(SOME_ROW, row=251, note='covered, "twice"'))
    _in_pieces(monkeypatch, 8192)

    found = both(tmp_path / "readings.csv", records.header(Row) + b"".join(lines), Row)

    assert len(found) == 500
    assert 1 <= sum(taken) < 60


def test_a_number_beyond_64_bits_is_a_sentence_to_either(tmp_path: Path) -> None:
    (said,) = both(tmp_path / "readings.csv", HEADER + f"{2**63},,1,,ok\r\n".encode())

    assert said == f"readings.csv: record 2: column number: '{2**63}' is too large a number"


def test_a_file_larger_than_any_of_ours_is_a_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "readings.csv"
    path.write_bytes(HEADER + b"1,,1,,ok\r\n" * 9)
    monkeypatch.setattr(by_column, "LARGEST_TABLE", 50)
    monkeypatch.setattr(store, "LARGEST_BY_RECORD", 50)

    with pytest.raises(StorageFault, match="larger than 50 bytes; it cannot be a file of panelwear"):
        read_columns(path, Reading)
    with pytest.raises(StorageFault, match="no run goes on with it"):
        store.read_journal(path, Reading)


@given(st.datetimes().map(lambda when: f"{when.isoformat(timespec='milliseconds')}Z"))
def test_a_moment_is_the_number_datetime_makes_of_it(told: str) -> None:
    values, fits = usual_form(np.frombuffer(told.encode(), np.uint8).reshape(1, LENGTH))

    assert fits[0] == ("1684-07-28T00:12:25.260Z" <= told <= "2255-06-05T23:47:34.740Z")
    assert values[0] == since_1970(told) or not fits[0]


@pytest.mark.parametrize(
    "told",
    [
        "2026-02-29T00:00:00.000Z",
        "2026-04-31T00:00:00.000Z",
        "0000-01-01T00:00:00.000Z",
        "2026-13-01T00:00:00.000Z",
        "2026-01-01T00:60:00.000Z",
        "2026-01-01T00:00:60.000Z",
    ],
)
def test_a_day_that_is_none_is_no_moment(told: str) -> None:
    assert not usual_form(np.frombuffer(told.encode(), np.uint8).reshape(1, LENGTH))[1][0]
    assert math.isnan(since_1970(told))


@given(st.binary(max_size=60).map(lambda data: data.translate(bytes(b'",\n\ra'[i % 5] for i in range(256)))),
       st.integers(1, 9), st.none() | st.integers(0, 6))  # fmt: skip
def test_what_is_written_is_told_alike_whole_and_in_pieces(data: bytes, size: int, rows: int | None) -> None:
    cut = [data[at : at + size] for at in range(0, len(data), size)]

    assert written_in(iter(cut), rows) == written_in(iter([data]), rows)


def test_plain_is_told_from_what_is_not() -> None:
    columns = columns_of(Reading)
    words: dict[str, dict[str, int]] = {"text": {}}

    assert plain.plain_block(b"1,,2.5,,ok\r\n2,,,3,ok\r\n", columns, words) is not None
    for odd in (b'1,,2,,"ok"\r\n', b"1,,2,,ok\n2,,2,,ok\r\n", b"1,,2,\r\n,ok,1,,2,,ok\r\n", "1,,2,,é\r\n".encode()):
        assert plain.plain_block(odd, columns, words) is None


def test_a_scan_knows_where_the_whole_lines_end(tmp_path: Path) -> None:
    path = tmp_path / "readings.csv"
    path.write_bytes(b'a,"b\r\nc"\r\nd,e\r\nf,\xff')
    with path.open("rb") as file:
        found = scan(file)

    assert (found.whole_bytes, found.lines, found.not_utf8_at) == (15, 2, None)
