"""Hours that are estimated within a range stay a range in every table that leaves the program."""

from __future__ import annotations

import csv
import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import openpyxl
import polars as pl
import pyarrow.parquet as pq
import pytest

from panelwear.cli import main
from tests.panelwear.archive import panels
from tests.panelwear.archive.cgats_reader import read_cgats

FIRST, LAST = "2026-01-05-h0", "2027-01-07-h4400"
KNOWN = {FIRST: (0.0, 0.0, 0.0, "read"), LAST: (4400.0, 4200.0, 4600.0, "estimated")}
"""Hours, least, most and how they are known, as ``panelwear amend`` was told."""


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = panels.make(tmp_path_factory.mktemp("many") / "root", 2, (0.0, 4400.0))
    told = ["--set", "hours=4,200 to 4,600 h", "--why", "the menu was not read"]
    assert main(["amend", str(made / "panel-0001"), LAST, *told]) == 0
    assert main(["archive", str(made), "--jobs", "1"]) == 0
    assert main(["compare", "--all", str(made), "--jobs", "1", "-q"]) == 0
    return made


@pytest.fixture(scope="module")
def exports(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("exports")
    assert main(["export", str(root / "panel-0001"), "--out", str(out)]) == 0
    return out


def rows_of(path: Path) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = pl.read_parquet(path, hive_partitioning=False).to_dicts()
    return rows


def ends(row: dict[str, Any]) -> dict[str, tuple[float, ...]]:
    return {end: tuple(float(row[f"{end}_{name}"]) for name in ("h", "low_h", "high_h")) for end in ("from", "to")}


def test_figures_and_changes_of_an_archive_bear_both_ends(root: Path) -> None:
    tables = root / "archive"
    figures = rows_of(tables / "figures" / "panel=panel-0001" / "figures.parquet")
    assert {(r["checkpoint"], r["hours"], r["hours_low_h"], r["hours_high_h"]) for r in figures} == {
        (name, *known[:3]) for name, known in KNOWN.items()
    }
    changes = rows_of(tables / "changes" / "panel=panel-0001" / "changes.parquet")
    assert changes
    assert all(ends(row) == {"from": KNOWN[FIRST][:3], "to": KNOWN[LAST][:3]} for row in changes)
    for kind in ("figures", "changes"):
        schema = pq.read_schema(tables / kind / "panel=panel-0001" / f"{kind}.parquet")
        assert all(schema.field(n).metadata[b"unit"] == b"h" for n in schema.names if n.endswith("_h"))


def test_ranking_and_verdicts_of_many_bear_both_ends(root: Path) -> None:
    with (root / "comparison" / "ranking.csv").open(encoding="utf-8", newline="") as file:
        ranking = {row["panel"]: row for row in csv.DictReader(file)}
    names = ("hours_from", "from_low_h", "from_high_h", "hours_to", "to_low_h", "to_high_h")
    assert [float(ranking["panel-0001"][n]) for n in names] == [0, 0, 0, 4400, 4200, 4600]
    assert [float(ranking["panel-0002"][n]) for n in names] == [0, 0, 0, 4400, 4400, 4400]
    verdicts = [r for r in rows_of(root / "comparison" / "verdicts.parquet") if r["panel"] == "panel-0001"]
    assert verdicts
    assert all(ends(row)["to"] == KNOWN[LAST][:3] for row in verdicts)
    page = (root / "comparison" / "verdicts.html").read_text(encoding="utf-8").replace("\u00a0", " ")
    assert "0 h to 4200–4600 h" in page
    assert "0 to 4400 h" in page  # of the other one


@pytest.mark.parametrize("name", KNOWN)
def test_every_export_says_them(exports: Path, name: str) -> None:
    hours, low, high, kind = KNOWN[name]
    stem = f"panel-0001-{name}"
    header = read_cgats((exports / f"{stem}.txt").read_bytes()).header
    assert [float(header[f"HOURS_{what}_H"]) for what in ("OF_USE", "LOW", "HIGH")] == [hours, low, high]
    assert header["HOURS_KIND"] == kind
    readings = pl.read_parquet(exports / f"{stem}.parquet").select(
        "checkpoint", "hours", "hours_kind", "hours_low_h", "hours_high_h"
    )
    assert readings.unique().rows() == [(name, hours, kind, low, high)]
    told = "4200 to 4600 h, estimated" if kind == "estimated" else "0 h, read from the panel's menu"
    assert json.loads(pq.read_schema(exports / f"{stem}.parquet").metadata[b"panelwear"])["hours"] == told
    book = openpyxl.load_workbook(exports / f"{stem}.xlsx")
    heads, units, *rows = book["figures"].iter_rows(values_only=True)
    place = [heads.index(column) for column in ("hours", "hours_low_h", "hours_high_h")]
    assert [units[i] for i in place] == ["h", "h", "h"]
    assert {tuple(row[i] for i in place) for row in rows} == {(hours, low, high)}


def test_tables_of_compare_bear_both_ends(root: Path, tmp_path: Path) -> None:
    def table(name: str) -> Iterator[dict[str, str]]:
        out = tmp_path / f"{name}.csv"
        assert main(["compare", str(root / "panel-0001"), "--csv", name, "--out", str(out), "-q"]) == 0
        with out.open(encoding="utf-8", newline="") as file:
            yield from csv.DictReader(file)

    for name in ("changes", "zones", "sub-pixels", "figures"):
        rows = [*table(name)]
        assert rows, name
        assert all(ends(row) == {"from": KNOWN[FIRST][:3], "to": KNOWN[LAST][:3]} for row in rows), name
    trend = [*table("trend")]
    assert {(r["checkpoint"], *(float(r[n]) for n in ("hours", "hours_low_h", "hours_high_h"))) for r in trend} == {
        (name, *known[:3]) for name, known in KNOWN.items()
    }


def test_doses_bear_both_ends(root: Path, tmp_path: Path) -> None:
    out = tmp_path / "doses.csv"
    panel = shutil.copytree(root / "panel-0001", tmp_path / "panel")
    assert (
        main(["usage", str(panel), "--since", "always", "--hours-a-day", "8", "--white", "120", "--shows", "white"])
        == 0
    )
    assert main(["usage", str(panel), "--csv", "doses", "--out", str(out), "-q"]) == 0
    with out.open(encoding="utf-8", newline="") as file:
        rows = [*csv.DictReader(file)]
    assert {(r["checkpoint"], *(float(r[n]) for n in ("hours", "hours_low_h", "hours_high_h"))) for r in rows} == {
        (name, *known[:3]) for name, known in KNOWN.items()
    }


def test_an_archive_of_an_older_version_gets_the_columns(root: Path, tmp_path: Path, capsys) -> None:
    """What can be read is read again; what is not below the root any more stays, with nothing in the new columns."""
    copy = shutil.copytree(root, tmp_path / "root")
    made_now = {p: p.read_bytes() for p in (copy / "archive").rglob("*.parquet")}
    for path in copy.glob("archive/*/panel=*/*s.parquet"):
        if path.parent.parent.name != "readings":
            held = pq.read_table(path, partitioning=None)
            pq.write_table(held.drop_columns([n for n in held.column_names if "low_h" in n or "high_h" in n]), path)
    for path in copy.glob("*/panels/*.json"):
        entry = json.loads(path.read_text(encoding="utf-8"))
        del entry["columns_version"]
        path.write_text(json.dumps(entry), encoding="utf-8")
    (copy / "panel-0002").rename(tmp_path / "elsewhere")
    capsys.readouterr()
    assert main(["archive", str(copy), "--jobs", "1"]) == 0
    assert "1 panel added, 0 there already, 0 left out" in capsys.readouterr().out
    changed = {p.relative_to(copy).as_posix() for p, data in made_now.items() if p.read_bytes() != data}
    assert changed == {f"archive/{kind}/panel=panel-0002/{kind}.parquet" for kind in ("figures", "changes")}
    for kind, column in (("figures", "hours_low_h"), ("changes", "to_low_h")):
        frame = pl.scan_parquet(copy / "archive" / kind / "**/*.parquet", hive_schema={"panel": pl.String}).collect()
        known = frame.group_by("panel").agg(pl.col(column).is_not_null().all()).sort("panel").rows()
        assert known == [("panel-0001", True), ("panel-0002", False)]
    assert pl.read_parquet(copy / "archive" / "panels.parquet")["panel"].to_list() == ["panel-0001", "panel-0002"]
    assert main(["archive", str(copy), "--jobs", "1"]) == 0
    assert "0 panels added, 1 there already" in capsys.readouterr().out
    assert main(["compare", "--all", str(copy), "--jobs", "1", "-q"]) == 0
    assert "1 panel compared, 0 compared before" in capsys.readouterr().out
