"""``panelwear archive``: what is there already stays as it is, what changed is made again, what is bad is left out."""

from __future__ import annotations

import hashlib
import json
import shutil
from pathlib import Path

import pyarrow as pa
import pyarrow.dataset as ds
import pyarrow.parquet as pq
import pytest

from benchmarks.fast_panel.folders import write_panel
from panelwear.archive import arrow, panel_work
from panelwear.archive.finding import panel_folders
from panelwear.archive.ledger import MARKS, as_name
from panelwear.cli import main
from panelwear.readings import store
from panelwear.readings.columns import columns_of
from panelwear.readings.marks import Mark
from panelwear.readings.row import Row
from tests.panelwear.archive import panels
from tests.panelwear.compare.test_command import reopen
from tests.panelwear.compare.test_zones import mark

LAST = "2027-01-07-h4400"
Files = dict[str, bytes]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = panels.make(tmp_path_factory.mktemp("many") / "root", 2, (0.0, 4400.0))
    assert main(["archive", str(root), "--jobs", "1"]) == 0
    return root


@pytest.fixture
def root(made: Path, tmp_path: Path) -> Path:
    return shutil.copytree(made, tmp_path / "root")


def archive(root: Path, *more: str) -> int:
    return main(["archive", str(root), "--jobs", "1", *more])


def files(root: Path) -> Files:
    return {p.relative_to(root).as_posix(): p.read_bytes() for p in root.rglob("*") if p.is_file()}


def times(out: Path) -> dict[str, int]:
    return {p.relative_to(out).as_posix(): p.stat().st_ino for p in out.rglob("*.parquet") if p.parent != out}


def test_readings_have_one_schema_which_is_the_list_of_columns(made: Path) -> None:
    data = ds.dataset(made / "archive" / "readings", partitioning="hive")
    assert data.schema.names == [*(c.name for c in columns_of(Row)), "panel", "checkpoint"]
    kinds = {int: pa.int64(), float: pa.float64(), str: pa.string()}
    for column in columns_of(Row):
        field = data.schema.field(column.name)
        assert field.type == (pa.timestamp("us", tz="UTC") if column.is_moment else kinds[column.kind])
    for path in (made / "archive" / "readings").rglob("*.parquet"):
        assert pq.read_schema(path).remove_metadata() == arrow.schema_of(Row, {}).remove_metadata()
    assert data.count_rows() == 2 * 2 * 300


def test_each_file_bears_the_digest_of_the_original_which_is_not_touched(made: Path, tmp_path: Path) -> None:
    for key in ("panel-0001", "panel-0002"):
        original = made / key / "checkpoints" / LAST / "readings.csv"
        copy = made / "archive" / "readings" / f"panel={key}" / f"checkpoint={LAST}" / "readings.parquet"
        facts = arrow.facts_of(copy)
        assert facts is not None
        assert facts["readings_sha256"] == hashlib.sha256(original.read_bytes()).hexdigest()
    assert main(["check", str(made / "panel-0001")]) == 0


def test_run_again_nothing_is_written(root: Path, capsys) -> None:
    before, written = files(root / "archive"), times(root / "archive")
    assert archive(root) == 0
    assert "0 panels added, 2 there already, 0 left out" in capsys.readouterr().out
    assert times(root / "archive") == written
    assert files(root / "archive") == before


def test_only_what_is_new_is_added(root: Path, capsys) -> None:
    written = times(root / "archive")
    write_panel(root / "panel-0003", panels.plan(), 3, (0.0, 4400.0))
    assert archive(root) == 0
    assert "1 panel added, 2 there already" in capsys.readouterr().out
    after = times(root / "archive")
    assert {name: at for name, at in after.items() if "0003" not in name} == written
    assert pq.read_table(root / "archive" / "panels.parquet")["panel"].to_pylist() == [
        f"panel-000{n}" for n in (1, 2, 3)
    ]


def test_a_new_checkpoint_leaves_the_others_alone_and_renews_the_figures(root: Path) -> None:
    written = times(root / "archive")
    newer = write_panel(root.parent / "newer" / "panel-0001", panels.plan(), 1, (0.0, 4400.0, 6000.0))
    name = next(path.name for path in (newer / "checkpoints").iterdir() if path.name.endswith("h6000"))
    shutil.copytree(newer / "checkpoints" / name, root / "panel-0001" / "checkpoints" / name)
    assert archive(root) == 0
    changed = {n for n, at in times(root / "archive").items() if written.get(n) != at}
    readings = f"readings/panel=panel-0001/checkpoint={name}/readings.parquet"
    assert changed == {readings, *(f"{kind}/panel=panel-0001/{kind}.parquet" for kind in ("figures", "changes"))}
    changes = pq.read_table(root / "archive" / "changes" / "panel=panel-0001" / "changes.parquet")
    assert {*changes["to"].to_pylist()} == {name}


def test_a_checkpoint_that_is_set_aside_leaves_the_dataset(root: Path) -> None:
    assert main(["discard", str(root / "panel-0001"), LAST, "--why", "the wrong panel"]) == 0
    assert archive(root) == 0
    left = root / "archive" / "readings" / "panel=panel-0001"
    assert [path.name for path in left.iterdir()] == ["checkpoint=2026-01-05-h0"]


def test_a_bad_folder_is_listed_and_left_out_and_the_others_are_not(root: Path, capsys) -> None:
    (root / "panel-0002" / "panel.toml").write_text("name = 'half\n", encoding="utf-8")
    (root / "empty" / "deep").mkdir(parents=True)
    (root / "empty" / "deep" / "panel.toml").write_bytes((root / "panel-0001" / "panel.toml").read_bytes())
    assert archive(root) == 3
    said = capsys.readouterr().out
    assert "panel-0002: left out: panel.toml" in said.replace("\n  ", " ")
    assert "empty/deep: left out: there is no checkpoint with readings" in said.replace("\n  ", " ")
    assert "2 left out" in said
    there = {path.name for kind in ("readings", "figures", "changes") for path in (root / "archive" / kind).iterdir()}
    assert there == {"panel=panel-0001"}
    assert pq.read_table(root / "archive" / "panels.parquet")["panel"].to_pylist() == ["panel-0001"]


def test_a_checkpoint_that_was_edited_is_left_out_and_said(root: Path, capsys) -> None:
    readings = root / "panel-0001" / "checkpoints" / LAST / "readings.csv"
    readings.write_bytes(readings.read_bytes().replace(b",ok,", b",retried,", 1))
    assert archive(root) == 3
    assert "panel-0001: not as it was written:" in capsys.readouterr().out
    left = root / "archive" / "readings" / "panel=panel-0001"
    assert [path.name for path in left.iterdir()] == ["checkpoint=2026-01-05-h0"]
    assert "was changed after" in pq.read_table(root / "archive" / "panels.parquet")["faults"].to_pylist()[0]


def test_a_fault_of_the_program_at_one_panel_does_not_stop_the_others(root: Path, monkeypatch, capsys) -> None:
    reopen(root / "panel-0001" / "checkpoints" / LAST)
    right = panel_work.comparison_of

    def wrong(checkpoints, **more):
        if more["panel"] == "panel-0001":
            raise ZeroDivisionError("nothing foresaw this")
        return right(checkpoints, **more)

    monkeypatch.setattr(panel_work, "comparison_of", wrong)
    assert archive(root) == 3
    assert "panel-0001: left out: a fault of the program itself (ZeroDivisionError" in capsys.readouterr().out


def test_what_somebody_took_out_of_the_archive_is_made_again(root: Path) -> None:
    before = files(root / "archive")
    shutil.rmtree(root / "archive" / "changes" / "panel=panel-0002")
    (root / "archive" / "panels" / "panel-0001.json").write_text("{", encoding="utf-8")
    assert archive(root) == 0
    assert files(root / "archive") == before


def test_two_processes_write_the_same_bytes_as_one(root: Path, tmp_path: Path) -> None:
    assert main(["archive", str(root), "--jobs", "2", "--out", str(tmp_path / "two")]) == 0
    assert files(tmp_path / "two") == files(root / "archive")


def test_keys_are_paths_and_engines_take_them_back(root: Path) -> None:
    (root / "office").mkdir()
    shutil.move(root / "panel-0001", root / "office" / "desk 1 ü=x%41")
    shutil.move(root / "panel-0002", root / "0012")
    assert archive(root, "--out", str(root.parent / "odd")) == 0
    keys = [found.key for found in panel_folders(root, MARKS)]
    assert keys == ["0012", "office/desk 1 ü=x%41"]
    import duckdb
    import polars

    where = f"{root.parent}/odd/figures/**/*.parquet"
    with duckdb.connect() as connection:
        found = connection.execute(
            f"select distinct panel from read_parquet('{where}', hive_types = {{'panel': varchar}}) order by 1"  # noqa: S608
        ).fetchall()
    assert [row[0] for row in found] == keys
    lazy = polars.scan_parquet(where, hive_schema={"panel": polars.String})
    assert lazy.select("panel").unique().sort("panel").collect()["panel"].to_list() == keys
    assert "/" not in as_name(keys[1])


def test_a_folder_of_somebody_elses_is_left_alone(root: Path, tmp_path: Path, capsys) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "letter.txt").write_text("mine", encoding="utf-8")
    assert archive(root, "--out", str(tmp_path / "mine")) == 2
    assert "holds 'letter.txt', which no such run made" in capsys.readouterr().err
    assert [path.name for path in (tmp_path / "mine").iterdir()] == ["letter.txt"]
    assert archive(root, "--out", str(root / "panel-0001" / "checkpoints" / LAST / "archive")) == 2
    assert archive(tmp_path / "mine") == 2
    assert "there is no panel folder below it" in capsys.readouterr().err
    assert archive(tmp_path / "nowhere") == 2


def test_a_panel_with_its_baseline_alone_is_there_without_a_verdict(tmp_path: Path) -> None:
    root = panels.make(tmp_path / "root", 1, (0.0,))
    assert archive(root) == 0
    assert pq.read_table(root / "archive" / "changes" / "panel=panel-0001" / "changes.parquet").num_rows == 0
    assert pq.read_table(root / "archive" / "checkpoints.parquet")["readings"].to_pylist() == [300.0]
    assert main(["compare", "--all", str(root), "--jobs", "1"]) == 0
    ranking = pq.read_table(root / "comparison" / "ranking.parquet").to_pylist()
    assert [(row["panel"], row["verdict"]) for row in ranking] == [("panel-0001", "none")]
    assert "nothing can have changed yet" in ranking[0]["said"]


def test_a_panel_that_only_the_eye_looked_at_is_there_without_figures(root: Path) -> None:
    last = root / "panel-0001" / "checkpoints" / LAST
    reopen(last)
    for path in last.glob("readings.csv*"):
        path.unlink()
    record = json.loads((last / "checkpoint.json").read_text(encoding="utf-8"))
    (last / "checkpoint.json").write_text(
        json.dumps({k: v for k, v in record.items() if k != "readings"}), encoding="utf-8"
    )
    with store.Store(last / "marks.csv", Mark, b"{}") as marks:
        marks.append(mark(0, 0, 250, 700))
    shutil.rmtree(root / "panel-0001" / "checkpoints" / "2026-01-05-h0")
    assert archive(root) == 0
    there = root / "archive" / "figures" / "panel=panel-0001" / "figures.parquet"
    assert pq.read_table(there).num_rows == 0
    assert main(["compare", "--all", str(root), "--jobs", "1"]) == 0


def test_check_tells_an_archive_for_what_it_is(made: Path, capsys) -> None:
    assert main(["check", str(made / "archive")]) == 0
    assert "archive of many panels: there is nothing to check in it" in capsys.readouterr().out


def test_links_are_not_followed(root: Path, tmp_path: Path) -> None:
    (root / "loop").symlink_to(root)
    (root / "again").symlink_to(root / "panel-0001")
    assert [found.key for found in panel_folders(root, MARKS)] == ["panel-0001", "panel-0002"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--engine", "dask"], "needs --scheduler ADDRESS"),
        (["--scheduler", "tcp://host:1"], "goes with --engine dask"),
        (["--jobs", "0"], "--jobs 0: wanted a whole number from 1"),
    ],
)
def test_a_wish_that_makes_no_sense_is_one_sentence(root: Path, words: list[str], said: str, capsys) -> None:
    assert main(["archive", str(root), *words]) == 2
    assert said in capsys.readouterr().err
