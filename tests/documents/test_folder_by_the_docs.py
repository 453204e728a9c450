"""What docs/ says of a panel folder is enough to write one, and says no more than is true."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from dataclasses import MISSING, fields
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from panelwear.figures.means import SIDE_PURPOSES
from panelwear.figures.pick import PREFERENCE
from panelwear.folder import panel, record, shoots
from panelwear.readings.columns import columns_of
from panelwear.readings.row import Row
from panelwear.screen.questions import QUESTIONS
from panelwear.upkeep.check import check
from sequences import shoot_schema
from sequences.groups import NAMES
from sequences.model import HUES
from tests.documents import folder_by_the_docs as by_the_docs
from tests.documents.folder_by_the_docs import Wear, write_folder
from tests.documents.tables import ROOT, Table, table

WEAR = Wear(channels=(1.0, 1.0, 0.95), zone=0.98)


def panelwear(*words: str | Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "panelwear", *map(str, words)]
    return subprocess.run(command, check=False, capture_output=True, text=True, encoding="utf-8", cwd=ROOT)


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("docs") / "by-the-docs"
    write_folder(folder, WEAR)
    return folder


def test_the_writer_imports_nothing_of_the_program() -> None:
    source = Path(by_the_docs.__file__).read_text(encoding="utf-8")
    imported = {
        line.split()[1].partition(".")[0] for line in source.splitlines() if line.startswith(("from ", "import "))
    }

    assert "tests" in imported
    assert imported.isdisjoint({"panelwear", "sequences", "patterns", "probe_io", "groundwork"})


def test_check_accepts_a_folder_written_by_the_docs(written: Path) -> None:
    said = panelwear("check", written)

    assert (said.returncode, said.stderr) == (0, "")
    assert "nothing wrong" in said.stdout


def test_compare_finds_what_was_put_into_it(written: Path) -> None:
    said = panelwear("compare", written, "--json")
    assert said.returncode == 0, said.stderr
    tables = {one["name"]: one["rows"] for one in json.loads(said.stdout)["tables"]}
    rows = {row["figure"]: row for row in tables["changes"] if row["since"] == "baseline"}

    zone = rows[next(name for name in rows if "list" in name and rows[name]["under"] == "")]
    blue = rows[next(name for name in rows if "blue" in name)]
    for row, truth, at_most in ((zone, 100 * (WEAR.zone - 1), 0.3), (blue, 100 * (WEAR.channels[2] - 1), 1.5)):
        assert row["verdict"] == "changed"
        assert row["half_width"] < at_most
        assert abs(row["change"] - truth) < row["half_width"]
    white = rows["white.Y"]
    assert abs(white["change"] - 100 * (WEAR.channels[2] - 1) * 14 / 194) < white["half_width"]


def test_compare_says_it_in_words_too(written: Path) -> None:
    said = panelwear("compare", written)

    assert said.returncode == 0, said.stderr
    assert "list" in said.stdout and "blue" in said.stdout.lower() and "changed" in said.stdout


def test_a_folder_without_wear_is_not_called_changed(tmp_path: Path) -> None:
    write_folder(tmp_path / "still", Wear())
    said = panelwear("compare", tmp_path / "still", "--json")

    tables = {one["name"]: one["rows"] for one in json.loads(said.stdout)["tables"]}
    assert tables["changes"]
    assert [row["figure"] for row in tables["changes"] if row["verdict"].startswith("changed")] == []


def keys(rows: Table, *, only: str = "") -> list[str]:
    first = next(iter(rows[0]))
    return [row[first] for row in rows if not only or row["needed"] == only]


OF_THE_RECORD = (
    (by_the_docs.RECORD_KEYS, record._Record),
    (by_the_docs.SESSION_KEYS, record._SessionRecord),
    (by_the_docs.SEGMENT_KEYS, record._SegmentRecord),
    (by_the_docs.PANEL_KEYS, panel._PanelFile),
    (by_the_docs.ZONE_KEYS, panel._ZoneTable),
    (by_the_docs.SHOOT_KEYS, shoots.ShootRecord),
    (by_the_docs.SHOT_KEYS, shoots.ShotRecord),
    (by_the_docs.LIST_KEYS, shoot_schema.ShootList),
)


@pytest.mark.parametrize(("rows", "described"), OF_THE_RECORD, ids=lambda one: getattr(one, "__name__", ""))
def test_the_tables_of_keys_are_those_of_the_program(rows: Table, described: Any) -> None:
    required = {f.name for f in fields(described) if f.default is MISSING and f.default_factory is MISSING}

    assert set(keys(rows, only="yes")) == required
    assert {f.name for f in fields(described)} <= set(keys(rows))


@pytest.mark.parametrize(("rows", "described"), OF_THE_RECORD, ids=lambda one: getattr(one, "__name__", ""))
def test_the_types_of_keys_are_those_of_the_program(rows: Table, described: Any) -> None:
    first = next(iter(rows[0]))
    told = {row[first]: row["type"] for row in rows}
    plain = {"text": "str", "moment": "str", "number": "float", "whole number": "int"}
    plain |= {"three numbers": "Codes", "true or false": "bool"}
    for f in fields(described):
        kind = str(f.type).removesuffix(" | None")
        if kind.startswith("tuple[float"):
            assert told[f.name] == f"{('two', 'four')[kind.count('float') // 4]} numbers"
        elif kind.startswith("tuple"):
            assert told[f.name].startswith("list")
        elif kind.startswith(("dict", "_")):
            assert told[f.name].startswith("table")
        else:
            assert plain[told[f.name]] == ("str" if kind.startswith("Literal") else kind)


NEEDED = [
    *(("record", key) for key in keys(by_the_docs.RECORD_KEYS, only="yes")),
    *(("session", key) for key in keys(by_the_docs.SESSION_KEYS, only="yes")),
    *(("segment", key) for key in keys(by_the_docs.SEGMENT_KEYS, only="yes")),
    *(("shoot", key) for key in keys(by_the_docs.SHOOT_KEYS, only="yes")),
    *(("shot", key) for key in keys(by_the_docs.SHOT_KEYS, only="yes")),
]


@pytest.mark.parametrize(("where", "key"), NEEDED)
def test_check_misses_every_key_that_is_needed(where: str, key: str, tmp_path: Path) -> None:
    first, _ = write_folder(tmp_path / "p", WEAR)
    path = first / ("shoots/shoot-1.json" if where in {"shoot", "shot"} else "checkpoint.json")
    data = json.loads(path.read_text(encoding="utf-8"))
    way = {"session": ("sessions", 0), "segment": ("sessions", 0, "segments", 0), "shot": ("shots", 0)}.get(where, ())
    holder = data
    for step in way:
        holder = holder[step]
    del holder[key]
    path.write_text(json.dumps(data), encoding="utf-8")

    assert [problem for problem in check(tmp_path / "p").problems if key in problem]


def test_the_keys_of_shots_in_a_list_are_those_of_the_program() -> None:
    known = {f.name for kind in shoot_schema.SHOT_GROUPS.values() for f in fields(kind)}

    assert set(keys(by_the_docs.SHOTS_KEYS)) == {"kind", *known}
    assert set(by_the_docs.SHOT_KINDS) == set(shoot_schema.SHOT_GROUPS)


def with_cell(folder: Path, name: str, cell: str) -> Path:
    """Write a checkpoint whose fourth reading holds another text in one column."""
    path = by_the_docs.write_checkpoint(folder, 0, datetime(2026, 1, 5, tzinfo=UTC), WEAR, 1)
    csv_path = path / "readings.csv"
    with csv_path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    rows[3][name] = cell
    with csv_path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]), lineterminator="\r\n")
        writer.writeheader()
        writer.writerows(rows)
    return path


@pytest.mark.parametrize("name", [c.name for c in columns_of(Row) if c.required and c.kind is not str])
def test_check_misses_every_number_that_is_never_empty(name: str, tmp_path: Path) -> None:
    assert name not in by_the_docs.MAY_BE_EMPTY
    assert [problem for problem in check(with_cell(tmp_path, name, "")).problems if name in problem]


CHECKED = [row["column"] for row in table("docs/csv.md", "column", "checked") if row["checked"] == "yes"]


@pytest.mark.parametrize("name", CHECKED)
def test_check_finds_what_the_docs_say_it_finds(name: str, tmp_path: Path) -> None:
    wrong = {"row": "7", "x": "0.4", "y": "0.4", "flags": "fine"}[name]

    assert [problem for problem in check(with_cell(tmp_path, name, wrong)).problems if name in problem]


def test_words_of_the_columns_are_those_of_the_program() -> None:
    known = {*NAMES.values(), *SIDE_PURPOSES, *PREFERENCE, "black", "near-black", "reference"}

    assert set(by_the_docs.PURPOSES) == known
    assert by_the_docs.HUES == HUES
    assert {c.name for c in columns_of(Row) if not c.required} == by_the_docs.MAY_BE_EMPTY
    assert {row["answer"] for row in table("docs/panel-folder.md", "answer")} == set(QUESTIONS)
