"""Checkpoints: begun, gone on with, closed, never edited afterwards."""

from __future__ import annotations

import json
import multiprocessing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from panelwear.errors import FileFault, StorageFault, UsageError
from panelwear.folder import amendments, checkpoint
from panelwear.folder.atomic import write_whole
from panelwear.folder.check import check
from panelwear.folder.create import PanelSpec, new_panel
from panelwear.folder.lock import hold
from panelwear.journal import store
from panelwear.journal.row import Row
from tests.panelwear.journal.rows import SOME_ROW

NOW = datetime(2026, 2, 3, 20, 0, tzinfo=UTC)


def begun(folder: Path, hours: float = 1460) -> checkpoint.Checkpoint:
    found = checkpoint.open_or_create(folder, "harbour-desk", hours, 365, NOW)
    found.begin_sitting(sequence="spot", source=b"name = 'spot'\n", seed=1, now=NOW, facts={})
    found.begin_segment(1, "start", NOW)
    return found


def test_a_checkpoint_is_named_after_date_and_hours(tmp_path: Path) -> None:
    assert begun(tmp_path).name == "2026-02-03-h1460"


def test_the_open_checkpoint_is_gone_on_with(tmp_path: Path) -> None:
    first = begun(tmp_path)

    again = checkpoint.open_or_create(tmp_path, "harbour-desk", None, None, NOW)

    assert again.name == first.name
    second = again.begin_sitting(sequence="zones", source=b"x", seed=2, now=NOW, facts={})
    assert (second["number"], second["sequence_file"]) == (2, "sequence-2.toml")


@pytest.mark.parametrize(
    ("hours", "sentence"), [(1500, "still open"), (None, "--hours")], ids=["another-is-open", "none-is-open"]
)
def test_what_stands_in_the_way_is_said(tmp_path: Path, hours: float | None, sentence: str) -> None:
    if hours is not None:
        begun(tmp_path)

    with pytest.raises(UsageError, match=sentence):
        checkpoint.open_or_create(tmp_path, "harbour-desk", hours, None, NOW)


def test_hours_only_rise(tmp_path: Path) -> None:
    begun(tmp_path).close(NOW)

    with pytest.raises(UsageError, match="hours only rise"):
        checkpoint.open_or_create(tmp_path, "harbour-desk", 1000, None, NOW)


def test_a_closed_checkpoint_is_not_edited(tmp_path: Path) -> None:
    found = begun(tmp_path)
    found.close(NOW)

    reopened = checkpoint.load(found.directory)
    reopened.record["hours"] = 1

    with pytest.raises(UsageError, match="not edited"):
        reopened.save()
    with pytest.raises(UsageError, match="closed already"):
        reopened.close(NOW)


def test_a_change_after_closing_is_found(tmp_path: Path) -> None:
    found = begun(tmp_path)
    with found.open_journal() as journal:
        journal.append(SOME_ROW)
    found.close(NOW)
    assert check(found.directory).problems == ()

    found.readings_path.write_bytes(found.readings_path.read_bytes().replace(b"182.4", b"192.4"))

    assert check(found.directory).problems == (
        "2026-02-03-h1460/readings.csv: was changed after the checkpoint was closed",
    )


def test_mistakes_go_to_amendments(tmp_path: Path) -> None:
    found = begun(tmp_path)
    with pytest.raises(UsageError, match="still open"):
        amendments.add(found, "x", NOW)
    found.close(NOW)

    amendments.add(found, "hours were 1470", NOW)

    assert [a["text"] for a in amendments.of(found)] == ["hours were 1470"]
    assert check(found.directory).problems == ()


def test_a_record_that_is_no_json_is_a_clear_fault(tmp_path: Path) -> None:
    found = begun(tmp_path)
    (found.directory / "checkpoint.json").write_text("{", encoding="utf-8")

    with pytest.raises(FileFault, match="restore it from a copy"):
        checkpoint.load(found.directory)


def test_segments_reach_the_table(tmp_path: Path) -> None:
    found = begun(tmp_path)
    with found.open_journal() as journal:
        for number in (1, 2, 3):
            journal.append(Row(**{**{n: getattr(SOME_ROW, n) for n in Row.__slots__}, "row": number}))
    found.begin_segment(3, "resumed", NOW)

    assert found.table().segment.tolist() == [1, 1, 2]


def _holder(folder: Path, ready: object, done: object) -> None:
    with hold(folder):
        ready.set()
        done.wait(10)


def test_two_runs_do_not_share_a_folder_and_a_killed_one_lets_go(tmp_path: Path) -> None:
    new_panel(tmp_path, PanelSpec("harbour-desk", 1920, 1080, (598, 336)))
    context = multiprocessing.get_context("spawn")
    ready, done = context.Event(), context.Event()
    other = context.Process(target=_holder, args=(tmp_path, ready, done))
    other.start()
    assert ready.wait(20)
    with pytest.raises(StorageFault, match="another panelwear run"), hold(tmp_path):
        pass

    other.kill()
    other.join()

    with hold(tmp_path):
        assert (tmp_path / "run.lock").exists()
    other.close()


def test_a_whole_file_is_written_or_nothing_is(tmp_path: Path) -> None:
    target = tmp_path / "taken"
    target.mkdir()

    with pytest.raises(StorageFault, match="nothing was changed"):
        write_whole(target, b"x")

    assert [p.name for p in tmp_path.iterdir()] == ["taken"]


def test_readings_with_a_missing_line_are_found(tmp_path: Path) -> None:
    path = tmp_path / "readings.csv"
    with store.Store(path, Row) as journal:
        journal.append(SOME_ROW)
        journal.append(Row(**{**{n: getattr(SOME_ROW, n) for n in Row.__slots__}, "row": 3}))

    assert "a line is missing" in check(path).problems[0]


def test_a_record_is_valid_json_without_nan(tmp_path: Path) -> None:
    found = begun(tmp_path)

    stored = json.loads((found.directory / "checkpoint.json").read_text(encoding="utf-8"))

    assert stored["format"] == checkpoint.FORMAT
