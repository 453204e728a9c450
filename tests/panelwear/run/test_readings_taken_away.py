"""readings.csv is replaced or deleted while a run writes it: nothing is lost, nothing is written elsewhere."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from panelwear.errors import FileFault, StorageFault
from panelwear.folder import checkpoint
from panelwear.folder.integrity import readings_faults
from panelwear.run.session import resume_checkpoint, run_checkpoint
from panelwear.upkeep.check import check
from tests.panelwear.run.bench import Stand


def _saved_by_rename(path: Path) -> None:
    other = path.with_name("saved")
    other.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:4]))
    other.replace(path)


@pytest.mark.parametrize("meddle", [_saved_by_rename, Path.unlink], ids=["saved-by-rename", "deleted"])
def test_the_run_stops_and_goes_on_once_the_kept_file_is_put_back(
    tmp_path: Path, meddle: Callable[[Path], None]
) -> None:
    stand = Stand(tmp_path / "harbour-desk")
    path = stand.checkpoint.readings_path

    def before(count: int) -> None:
        if count == 8:
            meddle(path)

    with pytest.raises(StorageFault, match=r"8 readings were kept in readings\.kept-1\.csv"):
        run_checkpoint(stand.bench(before), stand.job())
    assert "put readings.kept-1.csv in its place" in " ".join(check(stand.folder).problems)
    left = path.read_bytes() if path.exists() else None
    with pytest.raises(FileFault, match=r"readings\.kept-1\.csv"):
        resume_checkpoint(stand.bench(), stand.job())
    assert (path.read_bytes() if path.exists() else None) == left

    path.with_name("readings.kept-1.csv").replace(path)
    resume_checkpoint(stand.bench(), stand.job())

    assert [row.row for row in stand.checkpoint.rows()] == list(range(1, 17))
    assert check(stand.folder).problems == ()


def test_the_record_of_a_killed_run_says_no_more_than_the_file_holds(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("panelwear.run.session.NOTED_EVERY", 3)
    stand = Stand(tmp_path / "harbour-desk")
    noted = []

    def before(count: int) -> None:
        found = checkpoint.load(stand.checkpoint.directory)
        assert readings_faults(found) == ()
        noted.append(found.record.get(checkpoint.WRITTEN, {}).get("rows", 0))

    run_checkpoint(stand.bench(before), stand.job())

    assert noted == [3 * (count // 3) for count in range(16)]
    assert checkpoint.load(stand.checkpoint.directory).record[checkpoint.WRITTEN]["rows"] == 16
