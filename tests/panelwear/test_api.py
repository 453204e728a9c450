"""``panelwear.api`` on a folder with two checkpoints, against what the command line says of it."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from panelwear.api import PanelFolder, columns, open_folder
from panelwear.cli import main
from panelwear.errors import UsageError
from tests.documents.folder_by_the_docs import Wear, write_folder

FIRST, SECOND = "2026-01-05-h0", "2026-04-06-h900"


@pytest.fixture(scope="module")
def directory(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("api") / "desk"
    write_folder(folder, Wear((1.0, 1.0, 0.95), 0.98))
    return folder


@pytest.fixture(scope="module")
def folder(directory: Path) -> PanelFolder:
    return open_folder(directory)


def test_a_folder_tells_its_checkpoints_and_that_all_is_well(folder: PanelFolder) -> None:
    assert folder.checkpoints == (FIRST, SECOND)
    assert folder.faults == ()
    assert folder.panel.name == "by the docs"


def test_figures_are_records_with_their_checkpoint(folder: PanelFolder) -> None:
    white = {r["checkpoint"]: r for r in folder.figures() if r["name"] == "white.Y"}

    assert {name: r["hours"] for name, r in white.items()} == {FIRST: 0.0, SECOND: 900.0}
    assert white[FIRST]["value"] == pytest.approx(194.0, rel=0.003)  # what the three channels of the writer give
    assert white[FIRST]["unit"] == "cd/m²"
    low, value, high = (white[FIRST][key] for key in ("low", "value", "high"))
    assert isinstance(low, float) and isinstance(value, float) and isinstance(high, float) and low < value < high
    assert {r["checkpoint"] for r in folder.figures(SECOND)} == {SECOND}


def test_a_bound_has_no_number_where_there_is_none(folder: PanelFolder) -> None:
    black = next(r for r in folder.figures(FIRST) if r["name"] == "black")

    assert black["limit"] == "<" and black["low"] is None


def test_a_table_is_what_the_command_prints(
    folder: PanelFolder, directory: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["compare", str(directory), "--csv", "trend"]) == 0
    printed = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    listed = folder.table("trend")

    assert printed and len(listed) == len(printed)
    assert [list(r) for r in listed] == [list(r) for r in printed]
    assert [r["figure"] for r in listed] == [r["figure"] for r in printed]


def test_the_table_of_figures_holds_what_the_table_of_changes_does_not(folder: PanelFolder) -> None:
    assert len(folder.table("figures")) > 2 * len(folder.table("changes"))


def test_changes_tell_the_zone_that_wore(folder: PanelFolder) -> None:
    changed = [r for r in folder.table() if r["verdict"] == "changed"]

    assert any(r["change"] == pytest.approx(-2.0, abs=0.2) for r in changed)
    assert folder.verdict()


def test_readings_are_the_rows_of_the_file(folder: PanelFolder, directory: Path) -> None:
    path = directory / "checkpoints" / FIRST / "readings.csv"
    with path.open(encoding="utf-8", newline="") as file:
        stored = list(csv.DictReader(file))
    read = folder.readings(FIRST)

    assert [list(r) for r in read] == [list(r) for r in stored]
    assert [r["Y_cd_m2"] for r in read] == [float(r["Y_cd_m2"]) for r in stored]
    assert read[0]["u_prime"] is None


def test_columns_are_of_equal_length_and_hold_every_name() -> None:
    assert columns([{"a": 1, "b": 2.5}, {"a": 3, "c": "x"}]) == {"a": [1, 3], "b": [2.5, None], "c": [None, "x"]}
    assert columns([]) == {}


def test_a_plot_has_a_point_a_checkpoint(folder: PanelFolder, tmp_path: Path) -> None:
    figure = folder.plot("white.Y")
    line = figure.axes[0].lines[0]

    assert list(line.get_xdata()) == [0.0, 900.0]
    assert figure.axes[0].get_ylabel() == "white.Y (cd/m²)"
    figure.savefig(tmp_path / "white.svg")
    assert (tmp_path / "white.svg").stat().st_size > 5000


def test_what_is_not_there_is_said(folder: PanelFolder, tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="there are 2026-01-05-h0, 2026-04-06-h900"):
        folder.figures("2026-02-30-h1")
    with pytest.raises(UsageError, match="there is no table 'cahnges'"):
        folder.table("cahnges")
    with pytest.raises(UsageError, match="no checkpoint has a figure 'brightness'"):
        folder.plot("brightness")
    with pytest.raises(UsageError, match="holds no panel"):
        open_folder(tmp_path)


def test_a_changed_checkpoint_is_told_and_counts_only_when_asked(tmp_path: Path) -> None:
    _, second = write_folder(tmp_path / "desk", Wear())
    path = second / "readings.csv"
    lines = path.read_bytes().split(b"\r\n")
    path.write_bytes(b"\r\n".join([*lines[:40], *lines[41:]]))

    plain, nonetheless = open_folder(tmp_path / "desk"), open_folder(tmp_path / "desk", as_it_is=True)
    assert plain.checkpoints == (FIRST,) and "a line is missing" in plain.faults[0]
    assert nonetheless.checkpoints == (FIRST, SECOND) and nonetheless.faults
