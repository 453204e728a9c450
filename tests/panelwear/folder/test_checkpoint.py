"""Checkpoints: begun, gone on with, closed, never edited afterwards."""

from __future__ import annotations

import json
import multiprocessing
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest

from panelwear.atomic import write_whole
from panelwear.errors import FileFault, StorageFault, UsageError
from panelwear.folder import checkpoint
from panelwear.folder.lock import hold
from panelwear.readings import store
from panelwear.readings.row import Row
from panelwear.upkeep.check import check
from panelwear.upkeep.create import PanelSpec, new_panel
from tests.panelwear.readings.rows import SOME_ROW

NOW = datetime(2026, 2, 3, 20, 0, tzinfo=UTC)


def begun(folder: Path, hours: float = 1460) -> checkpoint.Checkpoint:
    found = checkpoint.open_or_create(folder, "harbour-desk", hours, 365, NOW)
    found.begin_session(sequence="spot", source=b"name = 'spot'\n", seed=1, now=NOW, facts={})
    found.begin_segment(1, "start", NOW)
    return found


def test_a_checkpoint_is_named_after_date_and_hours(tmp_path: Path) -> None:
    assert begun(tmp_path).name == "2026-02-03-h1460"


def test_the_open_checkpoint_is_gone_on_with(tmp_path: Path) -> None:
    first = begun(tmp_path)

    again = checkpoint.open_or_create(tmp_path, "harbour-desk", None, None, NOW)

    assert again.name == first.name
    second = again.begin_session(sequence="zones", source=b"x", seed=2, now=NOW, facts={})
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

    changed, *colours = check(found.directory).problems
    assert changed == "2026-02-03-h1460/readings.csv: was changed after the checkpoint was closed"
    assert [problem.split(": ")[2][:4] for problem in colours] == ["x is", "y is"]


def test_mistakes_go_to_amendments(tmp_path: Path) -> None:
    found = begun(tmp_path)
    with pytest.raises(UsageError, match="still open"):
        found.amend("x", NOW)
    found.close(NOW)

    found.amend("hours were 1470", NOW)

    assert [a["text"] for a in found.amendments()] == ["hours were 1470"]
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


def test_a_record_never_holds_what_is_no_number(tmp_path: Path) -> None:
    found = begun(tmp_path)
    before = found.record_path.read_bytes()
    found.session["noise"] = {"dark": float("nan")}

    with pytest.raises(ValueError, match="not JSON compliant"):
        found.save()

    assert found.record_path.read_bytes() == before
    found.record_path.write_bytes(before.replace(b"1460", b"NaN"))
    with pytest.raises(FileFault, match="NaN is no number"):
        checkpoint.load(found.directory)


def test_what_was_loaded_before_closing_cannot_open_it_again(tmp_path: Path) -> None:
    found = begun(tmp_path)
    stale = checkpoint.load(found.directory)
    found.close(NOW)
    closed = found.record_path.read_bytes()

    with pytest.raises(UsageError, match="not edited"):
        stale.save()
    with pytest.raises(UsageError, match="closed already"):
        stale.close(NOW)

    assert found.record_path.read_bytes() == closed


@pytest.mark.parametrize("name", ["photos/01-title-card.jpg", "marks.csv", "photos/amendments.json"])
def test_what_is_added_after_closing_is_said(tmp_path: Path, name: str) -> None:
    found = begun(tmp_path)
    found.close(NOW)

    (found.directory / name).write_bytes(b"x")

    assert found.changed_since_close() == (f"{found.name}/{name}: was added after the checkpoint was closed",)


def test_what_a_file_manager_leaves_is_no_evidence(tmp_path: Path) -> None:
    found = begun(tmp_path)
    found.close(NOW)

    for name in (".directory", "photos/Thumbs.db"):
        (found.directory / name).write_bytes(b"x")

    assert found.changed_since_close() == ()


@pytest.mark.parametrize(("before", "after"), [('"hours": 1460', '"hours": 1400'), ('"closed"', '"open"')])
def test_an_edit_of_a_closed_record_is_said(tmp_path: Path, before: str, after: str) -> None:
    found = begun(tmp_path)
    found.close(NOW)
    text = found.record_path.read_text(encoding="utf-8")
    assert before in text

    found.record_path.write_text(text.replace(before, after), encoding="utf-8")

    assert check(found.directory).problems == (
        f"{found.name}/checkpoint.json: was changed after the checkpoint was closed",
    )


def test_a_closed_record_written_anew_with_other_spaces_is_the_same(tmp_path: Path) -> None:
    found = begun(tmp_path)
    found.close(NOW)

    found.record_path.write_text(json.dumps(found.record, sort_keys=True), encoding="utf-8")

    assert check(found.directory).problems == ()


def test_a_folder_without_files_that_a_killed_run_left_is_used(tmp_path: Path) -> None:
    (tmp_path / "checkpoints/2026-02-03-h1460/photos").mkdir(parents=True)

    assert begun(tmp_path).name == "2026-02-03-h1460"


def test_a_folder_with_files_but_no_record_is_passed_by(tmp_path: Path) -> None:
    there = tmp_path / "checkpoints/2026-02-03-h1460/photos/mine.jpg"
    there.parent.mkdir(parents=True)
    there.write_bytes(b"x")

    assert begun(tmp_path).name == "2026-02-03-h1460-2"
    assert there.read_bytes() == b"x"


def test_a_record_that_may_not_be_read_is_not_said_to_be_missing(tmp_path: Path) -> None:
    found = begun(tmp_path)
    found.record_path.unlink()
    found.record_path.mkdir()  # no file that can be read, for whoever tries: permissions do not stop every person

    _, (lost,) = checkpoint.survey(tmp_path)

    assert "cannot be read" in lost.problems[0] and "missing" not in lost.problems[0]
    found.record_path.rmdir()
    _, (lost,) = checkpoint.survey(tmp_path)
    assert "is missing, and other files are there" in lost.problems[0]


def test_the_folder_bears_the_date_of_the_zone_the_moment_is_given_in(tmp_path: Path) -> None:
    just_after_midnight = datetime(2026, 2, 4, 0, 30, tzinfo=timezone(timedelta(hours=2)))

    found = checkpoint.open_or_create(tmp_path, "harbour-desk", 1460, None, just_after_midnight)

    assert found.name == "2026-02-04-h1460"
    assert found.record["started_utc"] == "2026-02-03T22:30:00.000Z"


def test_hours_are_hinted_at_so_that_they_can_be_typed_back(tmp_path: Path) -> None:
    first = begun(tmp_path, 12345.67)

    with pytest.raises(UsageError) as caught:
        checkpoint.open_or_create(tmp_path, "harbour-desk", 12400, None, NOW)

    hinted = float(str(caught.value).rpartition(" ")[2])
    assert checkpoint.open_or_create(tmp_path, "harbour-desk", hinted, None, NOW).name == first.name


@pytest.mark.parametrize("hours", [float("nan"), float("inf"), -1.0, 1e300])
def test_hours_are_a_number_from_0(tmp_path: Path, hours: float) -> None:
    with pytest.raises(UsageError, match="wanted a number from 0 to 1000000 h"):
        checkpoint.open_or_create(tmp_path, "harbour-desk", hours, None, NOW)

    assert [*tmp_path.iterdir()] == []


def test_other_cycles_than_the_open_checkpoint_has_are_refused_with_both(tmp_path: Path) -> None:
    begun(tmp_path)

    with pytest.raises(UsageError, match=r"--cycles 366: .* with 365 compensation cycles"):
        checkpoint.open_or_create(tmp_path, "harbour-desk", 1460, 366, NOW)


def test_cycles_that_were_not_known_at_first_are_stored(tmp_path: Path) -> None:
    checkpoint.open_or_create(tmp_path, "harbour-desk", 1460, None, NOW)

    found = checkpoint.open_or_create(tmp_path, "harbour-desk", 1460, 365, NOW)

    assert checkpoint.load(found.directory).record["cycles"] == 365


GOOD = {"format": checkpoint.FORMAT, "hours": 1, "status": "open", "started_utc": "2026", "sessions": []}
SESSION = {"number": 1, "sequence": "s", "sequence_file": "s.toml", "status": "done", "seed": 1, "segments": []}


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ([], r"expected a table with format, .*, got \[\]"),
        (None, "expected a table with format, .*, got null"),
        ({}, "format: is missing"),
        ({"format": checkpoint.FORMAT}, r"hours: is missing; it must be a number \(0 to 1000000 h\)"),
        ({**GOOD, "hours": "many"}, r"hours: expected a number \(0 to 1000000 h\), got 'many'"),
        ({**GOOD, "hours": 1e300}, r"hours: 1e\+300 is out of range; allowed: 0 to 1000000 h"),
        (
            {**GOOD, "sessions": [{**SESSION, "sequence_file": None}]},
            r"\.sequence_file: expected text in quotes, got null",
        ),
        ({**GOOD, "sessions": [{**SESSION, "segments": [{}]}]}, r"sessions\[1\].segments\[1\].first_row: is missing"),
        (
            {**GOOD, "sessions": [{**SESSION, "response": {"w10": 3}}]},
            r"\.response\.w10: expected a table, got 3",
        ),
        ({**GOOD, "sessions": [{**SESSION, "screen": 3}]}, r"\.screen: expected a table, got 3"),
        ({**GOOD, "sessions": [{**SESSION, "held": [{"step": "x"}]}]}, r"\.held\[1\]\.step: expected a whole number"),
        ({**GOOD, "sessions": [{**SESSION, "known_cd_m2": [["a"]]}]}, r"\.known_cd_m2\[1\]: expected a list of 2"),
        ({**GOOD, "sessions": [{**SESSION, "zones": [{"name": "a"}]}]}, r"\.zones\[1\]\.rect_px: is missing"),
        ({**GOOD, "sessions": [7]}, r"sessions\[1\]: expected a table with number, .*, got 7"),
        ({**GOOD, "answers": []}, "answers: expected a table of names, each with text in quotes"),
    ],
)
def test_a_damaged_record_is_sentences(tmp_path: Path, content: object, said: str) -> None:
    found = begun(tmp_path)
    found.record_path.write_text(json.dumps(content), encoding="utf-8")

    with pytest.raises(FileFault, match=said):
        checkpoint.load(found.directory)

    new_panel(tmp_path, PanelSpec("harbour-desk", 1920, 1080, (598, 336)))
    assert all(p.startswith(f"{found.name}/checkpoint.json: ") for p in check(tmp_path).problems)
    assert check(tmp_path).problems != ()


def test_a_whole_record_has_no_faults(tmp_path: Path) -> None:
    """Holds the parametrised damage above to be what is wrong there."""
    found = begun(tmp_path)
    found.record_path.write_text(json.dumps({**GOOD, "sessions": [SESSION]}), encoding="utf-8")

    assert checkpoint.load(found.directory).session["sequence_file"] == "s.toml"


def test_a_record_that_cannot_be_read_is_a_sentence(tmp_path: Path) -> None:
    found = begun(tmp_path)
    found.record_path.unlink()
    found.record_path.mkdir()

    with pytest.raises(StorageFault, match="cannot be read"):
        checkpoint.load(found.directory)


def test_a_folder_that_is_no_panel_folder_is_not_held(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="there is no such folder"), hold(tmp_path / "nowhere"):
        pass

    assert [*tmp_path.iterdir()] == []


@pytest.mark.parametrize("content", ["[" * 10_000, '{"a": ' * 10_000 + "1" + "}" * 10_000, "\xff", '{"hours": 1e999}'])
def test_a_record_that_is_damaged_through_and_through_is_one_sentence(tmp_path: Path, content: str) -> None:
    found = begun(tmp_path)
    found.record_path.write_text(content, encoding="latin-1")

    with pytest.raises(FileFault, match=r"^checkpoint\.json: .*; restore it from a copy$"):
        checkpoint.load(found.directory)
