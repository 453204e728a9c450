"""``panelwear export``: what other programs read back is what stands in the panel folder."""

from __future__ import annotations

import csv
import shutil
import zipfile
from pathlib import Path

import openpyxl
import polars
import pyarrow.parquet as pq
import pytest

from panelwear import extras
from panelwear.archive.cgats import About, cgats_of
from panelwear.cli import main
from panelwear.figures.checkpoint import figures_of
from panelwear.figures.load import load_evidence
from panelwear.readings.by_column import read_columns
from panelwear.readings.columns import columns_of
from panelwear.readings.row import Row
from tests.panelwear.archive import panels
from tests.panelwear.archive.cgats_reader import NotCgats, read_cgats
from tests.panelwear.compare.panels import read, subject
from tests.panelwear.figures.handmade import Bench

OF_HOURS = ["checkpoint", "hours", "hours_kind", "hours_low_h", "hours_high_h"]
FIRST, LAST = "2026-01-05-h0", "2027-01-07-h4400"


@pytest.fixture(scope="module")
def panel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return panels.make(tmp_path_factory.mktemp("many"), 1, (0.0, 4400.0)) / "panel-0001"


@pytest.fixture(scope="module")
def exports(panel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("exports")
    assert main(["export", str(panel), "--out", str(out)]) == 0
    return out


def test_each_checkpoint_is_there_in_three_formats(exports: Path) -> None:
    there = sorted(path.name for path in exports.iterdir())
    assert there == sorted(f"panel-0001-{name}{end}" for name in (FIRST, LAST) for end in (".txt", ".parquet", ".xlsx"))


def test_the_text_holds_the_patches_as_figures_see_them(panel: Path, exports: Path) -> None:
    last = load_evidence(panel)[-1]
    found = read_cgats((exports / f"panel-0001-{LAST}.txt").read_bytes())
    assert found.identifier == "CGATS.17"
    assert found.header["XYZ_UNIT"] == "cd/m2"
    assert [s["SAMPLE_NAME"] for s in found.sets] == [m.key for m in last.means]
    assert [s["SAMPLE_ID"] for s in found.sets] == [*range(1, len(last.means) + 1)]
    for one, mean in zip(found.sets, last.means, strict=True):
        assert tuple(one[f"RGB_{c}"] for c in "RGB") == mean.codes
        assert [one[f"XYZ_{c}"] for c in "XYZ"] == pytest.approx(mean.XYZ.tolist(), rel=1e-6)
        assert one["READINGS"] == mean.n
    white = next(s for s in found.sets if s["SAMPLE_NAME"] == "primary/centre/grey/c255/w10")
    assert white["XYZ_Y"] == pytest.approx(figures_of(last)["white.Y"].value, rel=1e-6)


def test_parquet_holds_every_reading_as_it_was_stored(panel: Path, exports: Path) -> None:
    stored = read_columns(panel / "checkpoints" / LAST / "readings.csv", Row)
    table = pq.read_table(exports / f"panel-0001-{LAST}.parquet")
    assert table.column_names == [*(c.name for c in columns_of(Row)), *OF_HOURS]
    assert table.select(OF_HOURS).slice(0, 1).to_pylist() == [
        {"checkpoint": LAST, "hours": 4400.0, "hours_kind": "read", "hours_low_h": 4400.0, "hours_high_h": 4400.0}
    ]
    with (panel / "checkpoints" / LAST / "readings.csv").open(encoding="utf-8", newline="") as file:
        cells = [*csv.DictReader(file)]
    for column in columns_of(Row):
        field = table.schema.field(column.name)
        assert field.metadata == {b"unit": column.unit.encode(), b"meaning": column.meaning.encode()}
        assert table[column.name].is_null().to_pylist() == [cell[column.name] == "" for cell in cells], column.name
    assert table["Y_cd_m2"].to_numpy().tolist() == stored.numbers["Y_cd_m2"].tolist()
    assert table["patch"].to_pylist() == stored.texts["patch"].tolist()
    frame = polars.read_parquet(exports / f"panel-0001-{LAST}.parquet")
    assert frame["time_utc"].dt.timestamp("ms").to_list() == [round(s * 1000) for s in stored.numbers["time_utc"]]


def test_the_spreadsheet_has_units_notes_and_the_same_numbers(panel: Path, exports: Path) -> None:
    book = openpyxl.load_workbook(exports / f"panel-0001-{LAST}.xlsx")
    assert book.sheetnames == ["notes", "figures", "patches", "readings"]
    assert any("invented" in str(row[1]) for row in book["notes"].iter_rows(values_only=True))
    names, units, *rows = book["readings"].iter_rows(values_only=True)
    columns = columns_of(Row)
    assert names == tuple(c.name for c in columns)
    assert units == tuple(c.unit or None for c in columns)
    assert [cell.comment.text for cell in book["readings"][1]] == [c.meaning for c in columns]
    stored = read_columns(panel / "checkpoints" / LAST / "readings.csv", Row)
    assert [row[names.index("Y_cd_m2")] for row in rows] == stored.numbers["Y_cd_m2"].tolist()
    heads, _units, *figures = book["figures"].iter_rows(values_only=True)
    shown = next(cells for row in figures if (cells := dict(zip(heads, row, strict=True)))["figure"] == "white.Y")
    white = figures_of(load_evidence(panel)[-1])["white.Y"]
    assert (shown["value"], shown["u"]) == (white.value, white.u)
    assert (shown["hours"], shown["hours_low_h"], shown["hours_high_h"]) == (4400, 4400, 4400)


def test_written_again_it_is_the_same_to_the_byte(panel: Path, exports: Path, tmp_path: Path) -> None:
    for path in exports.glob("*.xlsx"):
        with zipfile.ZipFile(path) as book:
            assert {part.date_time for part in book.infolist()} == {(1980, 1, 1, 0, 0, 0)}
            assert b"dcterms:created" not in book.read("docProps/core.xml")
    assert main(["export", str(panel), "--out", str(tmp_path)]) == 0
    for path in exports.iterdir():
        assert (tmp_path / path.name).read_bytes() == path.read_bytes(), path.name


def test_a_name_that_looks_like_a_formula_stays_a_text(panel: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy"
    shutil.copytree(panel, copy)
    toml = (copy / "panel.toml").read_text(encoding="utf-8")
    name = '=HYPERLINK("a";"b") für'
    quoted = name.replace('"', '\\"')
    (copy / "panel.toml").write_text(toml.replace('name = "panel-0001"', f'name = "{quoted}"'), encoding="utf-8")
    assert main(["export", str(copy), LAST, "--out", str(tmp_path / "out")]) == 0
    (path,) = (tmp_path / "out").glob("*.xlsx")
    book = openpyxl.load_workbook(path)
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert [cell for cell in cells if cell.data_type == "f"] == []
    assert f"'{name}" in {cell.value for cell in cells}
    (text,) = (tmp_path / "out").glob("*.txt")
    assert read_cgats(text.read_bytes()).header["DESCRIPTOR"].startswith('=HYPERLINK("a";"b") f\\xfcr, checkpoint')


def test_a_luminance_meter_gives_luminance_alone() -> None:
    bench = Bench()
    bench.put()
    bench.read("primary/centre/grey/c255/w10", "primary", 300.0, colour=False)
    bench.read("field/centre/grey/c0/full", "black", 0.00001, colour=False)
    evidence = subject(bench.table(), "one", 0.0)
    found = read_cgats(cgats_of(evidence, About("panelwear 0", "p", "one", "2026-01-05", "meter", ("ü" * 300,))))
    assert found.fields == ["SAMPLE_ID", "SAMPLE_NAME", "RGB_R", "RGB_G", "RGB_B", "XYZ_Y", "READINGS"]
    assert [s["XYZ_Y"] for s in found.sets] == [300.0, 0.00001]


def test_the_reader_of_the_grammar_refuses_what_breaks_it() -> None:
    data = cgats_of(subject(read(), "one", 0.0), About("panelwear 0", 'a "b"', "one", "2026-01-05", "meter"))
    assert read_cgats(data).header["DESCRIPTOR"] == 'a "b", checkpoint one'
    for was, now in (
        (b"KEYWORD\t\"READINGS\"\r\n", b""), (b"END_DATA\r\n", b""), (b"NUMBER_OF_SETS\t", b"NUMBER_OF_SETS\t1"),
        (b'"meter"', b'"meter'), (b"cd/m2", "cd/m²".encode()), (b"CREATED", b"MADE"), (b"\t5\r\n", b"\t5e0\r\n"),
    ):  # fmt: skip
        assert was in data
        with pytest.raises(NotCgats):
            read_cgats(data.replace(was, now, 1))


@pytest.mark.parametrize("end", [".txt", ".parquet", ".xlsx"])
def test_nothing_of_anybody_elses_is_overwritten(panel: Path, exports: Path, end: str, tmp_path: Path, capsys) -> None:
    shutil.copytree(exports, tmp_path / "out")
    theirs = tmp_path / "out" / f"panel-0001-{LAST}{end}"
    theirs.write_bytes(b"PK\x03\x04 my own" if end == ".xlsx" else b"PAR1 my own")
    before = {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()}
    assert main(["export", str(panel), "--out", str(tmp_path / "out")]) == 2
    assert "is no export of this program; it is not overwritten" in capsys.readouterr().err
    assert {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()} == before


def test_an_older_export_is_replaced_and_a_checkpoint_never_written_to(panel: Path, tmp_path: Path, capsys) -> None:
    for _ in range(2):
        assert main(["export", str(panel), FIRST, "--out", str(tmp_path / "out")]) == 0
    inside = panel / "checkpoints" / FIRST
    assert main(["export", str(panel), FIRST, "--out", str(inside)]) == 2
    assert "lies in a checkpoint" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--format", "pdf"], "wanted some of cgats, parquet, xlsx"),
        (["2030"], f"there is no checkpoint '2030' with readings; there are {FIRST}, {LAST}"),
    ],
)
def test_a_wish_that_makes_no_sense_is_one_sentence(panel: Path, words: list[str], said: str, capsys) -> None:
    assert main(["export", str(panel), *words]) == 2
    assert said in capsys.readouterr().err


def test_without_the_library_it_says_what_to_install(panel: Path, tmp_path: Path, monkeypatch, capsys) -> None:
    monkeypatch.setattr(extras, "find_spec", lambda _name: None)
    assert main(["export", str(panel), "--out", str(tmp_path / "out")]) == 2
    assert (
        '--format parquet needs the library pyarrow; pip install -e ".[archive]" in the checkout'
        in capsys.readouterr().err
    )
    assert main(["export", str(panel), "--format", "cgats", "--out", str(tmp_path / "out")]) == 0
    assert {path.suffix for path in (tmp_path / "out").iterdir()} == {".txt"}


def test_a_checkpoint_that_was_changed_is_left_out_and_said(panel: Path, tmp_path: Path, capsys) -> None:
    copy = tmp_path / "copy"
    shutil.copytree(panel, copy)
    readings = copy / "checkpoints" / LAST / "readings.csv"
    readings.write_bytes(readings.read_bytes().replace(b",ok,", b",retried,", 1))
    assert main(["export", str(copy), "--out", str(tmp_path / "out")]) == 3
    assert "was changed after the checkpoint was closed" in capsys.readouterr().out
    assert {path.name[:24] for path in (tmp_path / "out").iterdir()} == {f"panel-0001-{FIRST}"[:24]}
    assert main(["export", str(copy), LAST, "--out", str(tmp_path / "out")]) == 2
    assert main(["export", str(copy), LAST, "--as-it-is", "--out", str(tmp_path / "as-it-is")]) == 3
    text = (tmp_path / "as-it-is" / f"panel-0001-{LAST}.txt").read_text(encoding="ascii")
    assert f"# {LAST}/readings.csv: was changed after the checkpoint was closed." in text
