"""``panelwear compare --all``: the verdicts of ``compare`` one by one, ranked, in groups, and gone on with."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
import statistics
from pathlib import Path

import csvw
import pyarrow.parquet as pq
import pytest

from panelwear import extras
from panelwear.archive import many
from panelwear.cli import main
from tests.panelwear.archive import panels
from tests.panelwear.report.page_reader import Page

TABLES = ("verdicts", "ranking", "groups", "left-out")
EVIL = '=1+1 <script>alert("x")</script>'
Rows = list[dict[str, str]]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = panels.make(tmp_path_factory.mktemp("many") / "root", 4)
    (root / "panel-0004" / "panel.toml").write_text("name = 'half\n", encoding="utf-8")
    toml = root / "panel-0003" / "panel.toml"
    named = toml.read_text(encoding="utf-8").replace('name = "panel-0003"', f"name = '{EVIL}'")
    toml.write_text(named, encoding="utf-8")
    assert compare(root) == 3
    return root


@pytest.fixture
def root(made: Path, tmp_path: Path) -> Path:
    return shutil.copytree(made, tmp_path / "root")


def compare(root: Path, *more: str) -> int:
    return main(["compare", "--all", str(root), "--jobs", "1", *more])


def rows_of(root: Path, name: str) -> Rows:
    with (root / "comparison" / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return [*csv.DictReader(file)]


def files(out: Path) -> dict[str, bytes]:
    return {p.relative_to(out).as_posix(): p.read_bytes() for p in out.rglob("*") if p.is_file()}


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_each_verdict_is_the_one_compare_gives_for_the_panel_alone(made: Path, seed: int, capsys) -> None:
    key = f"panel-{seed:04}"
    assert main(["compare", str(made / key), "--csv", "changes"]) == 0
    alone = [*csv.DictReader(io.StringIO(capsys.readouterr().out, newline=""))]
    together = [row for row in rows_of(made, "verdicts") if row["panel"] == key]
    assert len(alone) > 20
    assert [{name: row[name] for name in alone[0]} for row in together] == alone
    assert main(["compare", str(made / key), "--json"]) == 0
    said = " ".join(json.loads(capsys.readouterr().out)["verdict"])
    assert next(row["said"] for row in rows_of(made, "ranking") if row["panel"] == key) == said
    count = next(row for row in rows_of(made, "ranking") if row["panel"] == key)
    told, less = re.search(r"(\d+) of (\d+) figures changed", said), re.search(r"; (\d+) more by too little", said)
    assert told is not None
    assert int(told[1]) + (int(less[1]) if less else 0) == int(count["changed"])
    assert told[2] == count["tested"]


def test_verdicts_are_those_of_each_panel_alone_where_checkpoints_were_changed(tmp_path: Path, capsys) -> None:
    root = panels.make(tmp_path / "root", 3, (0.0, 1000.0, 2000.0, 3000.0, 4400.0))
    for seed, at in enumerate((0, 2, 4), start=1):  # the baseline, one in the middle, the newest
        folder = sorted((root / f"panel-{seed:04}" / "checkpoints").iterdir())[at]
        readings = (folder / "readings.csv").read_bytes()
        (folder / "readings.csv").write_bytes(readings.replace(b",ok,", b",retried,", 1))
    assert compare(root) == 3
    verdicts = rows_of(root, "verdicts")
    for key in ("panel-0001", "panel-0002", "panel-0003"):
        capsys.readouterr()
        assert main(["compare", str(root / key), "--csv", "changes"]) == 3
        alone = [*csv.DictReader(io.StringIO(capsys.readouterr().out, newline=""))]
        assert alone and alone == [{name: row[name] for name in alone[0]} for row in verdicts if row["panel"] == key]
    assert {row["panel"]: row["verdict"] for row in rows_of(root, "ranking")}["panel-0001"] == "none"
    assert [row["counts"] for row in rows_of(root, "left-out")] == ["yes"] * 3


def test_the_ranking_begins_with_what_went_furthest_over_what_is_worth_knowing(made: Path) -> None:
    verdicts, ranking = rows_of(made, "verdicts"), rows_of(made, "ranking")

    def furthest(key: str) -> float:
        mine = [r for r in verdicts if r["panel"] == key and r["since"] == "baseline" and r["verdict"] == "changed"]
        return max(abs(float(r["change"])) / float(r["worth"]) for r in mine if not r["under"])

    order = sorted(("panel-0001", "panel-0002", "panel-0003"), key=furthest, reverse=True)
    assert [row["panel"] for row in ranking] == order
    assert [row["rank"] for row in ranking] == ["1", "2", "3"]
    assert {row["verdict"] for row in ranking} == {"changed"}


def test_groups_are_those_of_panel_toml(made: Path) -> None:
    white = {r["panel"]: float(r["change"]) for r in rows_of(made, "verdicts")
             if r["since"] == "baseline" and r["figure"] == "white.Y"}  # fmt: skip
    groups = {(row["key"], row["word"]): row for row in rows_of(made, "groups")}
    assert {*groups} == {("model", "desk-27"), ("model", "wall-42"), ("usage", "charts"), ("usage", "text"),
                         ("brightness", "40"), ("brightness", "80")}  # fmt: skip
    charts = groups["usage", "charts"]
    assert (charts["panels"], charts["changed"], charts["undecided"]) == ("2", "2", "0")
    wanted = statistics.median([white["panel-0002"], white["panel-0003"]])
    assert float(charts["white_median_percent"]) == pytest.approx(wanted, abs=0.051)
    text = groups["usage", "text"]
    assert text["white_least_percent"] == text["white_most_percent"] == text["white_median_percent"]


@pytest.mark.parametrize("name", TABLES)
def test_csv_parquet_and_metadata_hold_the_same_table(made: Path, name: str) -> None:
    cells = rows_of(made, name)
    table = pq.read_table(made / "comparison" / f"{name}.parquet")
    meta = json.loads((made / "comparison" / f"{name}.csv-metadata.json").read_text(encoding="utf-8"))
    assert [c["name"] for c in meta["tableSchema"]["columns"]] == table.column_names == [*cells[0]]
    assert len([*csvw.CSVW(str(made / "comparison" / f"{name}.csv-metadata.json")).tables[0]]) == len(cells)
    for row, other in zip(cells, table.to_pylist(), strict=True):
        for column, cell in other.items():
            if isinstance(cell, float):
                assert float(row[column]) == cell
            else:
                assert row[column].removeprefix("'") == (cell or "")


def test_the_page_stands_alone_and_names_what_was_left_out(made: Path) -> None:
    html = (made / "comparison" / "verdicts.html").read_text(encoding="utf-8")
    page = Page(html)
    assert page.faults == []
    assert EVIL not in html and "://" not in html
    captions = [table.caption for table in page.tables]
    assert captions == [*(f"By {key}, as panel.toml says" for key in ("model", "usage", "brightness")),
                        "Panels, the one that changed most first", "Folders that something is wrong with"]  # fmt: skip
    assert [row[1] for row in page.tables[3].rows] == [row["panel"] for row in rows_of(made, "ranking")]
    assert page.tables[4].rows[0][:2] == ["panel-0004", "left out"]


def test_no_cell_is_a_formula(made: Path) -> None:
    assert f"'{EVIL}" in {row["name"] for row in rows_of(made, "ranking")}
    assert f"'{EVIL}" in {row["name"] for row in rows_of(made, "verdicts")}


def test_what_is_done_is_not_done_again(root: Path, monkeypatch, capsys) -> None:
    before = files(root / "comparison")
    right = many.compared

    def only_the_bad_one(job, **more):
        assert job.found.key == "panel-0004"
        return right(job, **more)

    monkeypatch.setattr(many, "compared", only_the_bad_one)
    assert compare(root) == 3
    assert "0 panels compared, 3 compared before, 1 left out" in capsys.readouterr().out.replace("\n  ", " ")
    assert files(root / "comparison") == before


def test_a_run_that_was_killed_goes_on_and_ends_with_the_same_bytes(root: Path, monkeypatch, capsys) -> None:
    before = files(root / "comparison")
    shutil.rmtree(root / "comparison")
    right, done = many.compared, []

    def killed(job, **more):
        if done:
            raise KeyboardInterrupt
        done.append(job)
        return right(job, **more)

    monkeypatch.setattr(many, "compared", killed)
    assert compare(root) == 1
    assert not (root / "comparison" / "verdicts.csv").exists()
    monkeypatch.setattr(many, "compared", right)
    capsys.readouterr()
    assert compare(root) == 3
    assert "2 panels compared, 1 compared before" in capsys.readouterr().out
    assert files(root / "comparison") == before


def test_two_processes_write_the_same_bytes_as_one(root: Path, tmp_path: Path) -> None:
    assert main(["compare", "--all", str(root), "--jobs", "2", "--out", str(tmp_path / "two")]) == 3
    assert files(tmp_path / "two") == files(root / "comparison")


def test_another_level_and_a_changed_panel_are_compared_again(root: Path, capsys) -> None:
    toml = root / "panel-0001" / "panel.toml"
    toml.write_text(toml.read_text(encoding="utf-8").replace('usage = "text"', 'usage = "film"'), encoding="utf-8")
    assert compare(root) == 3
    assert "1 panel compared, 2 compared before" in capsys.readouterr().out.replace("\n  ", " ")
    assert {row["word"] for row in rows_of(root, "groups") if row["key"] == "usage"} == {"charts", "film"}
    assert compare(root, "--level", "0.9") == 3
    assert "3 panels compared" in capsys.readouterr().out


def test_without_pyarrow_there_is_csv_and_the_page(root: Path, monkeypatch, capsys) -> None:
    shutil.rmtree(root / "comparison")
    monkeypatch.setattr(extras, "find_spec", lambda _name: None)
    assert compare(root) == 3
    assert 'No Parquet is written; pip install -e ".[archive]"' in capsys.readouterr().out
    there = {path.name for path in (root / "comparison").iterdir()}
    assert {"verdicts.csv", "verdicts.html"} <= there and not [name for name in there if name.endswith(".parquet")]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--all", "--csv", "changes"], "--csv: does not go with --all"),
        (["--all", "--from", "a"], "--from: does not go with --all"),
        (["--jobs", "2"], "they go with --all"),
        (["--all", "--level", "2"], "must lie within 0.5..0.999"),
    ],
)
def test_a_wish_that_makes_no_sense_is_one_sentence(root: Path, words: list[str], said: str, capsys) -> None:
    assert main(["compare", str(root), *words]) == 2
    assert said in capsys.readouterr().err
