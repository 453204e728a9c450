"""The folder of a rehearsal: only what a rehearsal can be proved to have made is removed, and no link followed."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelwear.errors import StorageFault
from panelwear.simulation import rehearsal_folder


def half_made(out: Path) -> Path:
    """Leave a rehearsal that was interrupted after it had noted two files."""
    rehearsal_folder.prepare(out)
    (out / "harbour-desk").mkdir()
    (out / "harbour-desk" / "panel.toml").write_text("name", encoding="utf-8")
    (out / "about.txt").write_text("about", encoding="utf-8")
    rehearsal_folder.note(out)
    return out


def test_what_an_interrupted_rehearsal_noted_is_removed(tmp_path: Path) -> None:
    out = half_made(tmp_path / "r")
    rehearsal_folder.prepare(out)
    assert sorted(p.name for p in out.iterdir()) == ["pictures", "rehearsal.json"]


@pytest.mark.parametrize("name", ["harbour-desk/letter.odt", "pictures/holiday.jpg", "pictures/later.png"])
def test_a_letter_in_a_half_made_folder_stays(tmp_path: Path, name: str) -> None:
    out = half_made(tmp_path / "r")
    (out / name).write_text("dear", encoding="utf-8")
    with pytest.raises(StorageFault, match="not known to be a rehearsal"):
        rehearsal_folder.prepare(out)
    assert (out / name).read_text(encoding="utf-8") == "dear"
    assert (out / "about.txt").exists()


def test_a_letter_put_there_before_the_note_stays_too(tmp_path: Path) -> None:
    out = tmp_path / "r"
    rehearsal_folder.prepare(out)
    (out / "pictures" / "letter.odt").write_text("dear", encoding="utf-8")
    rehearsal_folder.note(out)
    with pytest.raises(StorageFault, match="pictures/letter"):
        rehearsal_folder.prepare(out)
    assert (out / "pictures" / "letter.odt").exists()


def test_no_link_is_followed(tmp_path: Path) -> None:
    out = half_made(tmp_path / "r")
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "grey-ramp.png").write_text("mine", encoding="utf-8")
    (out / "pictures").rmdir()
    (out / "pictures").symlink_to(outside)
    rehearsal_folder.note(out)
    with pytest.raises(StorageFault, match="pictures"):
        rehearsal_folder.prepare(out)
    assert (outside / "grey-ramp.png").read_text(encoding="utf-8") == "mine"
