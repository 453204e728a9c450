"""Files are told apart by their first bytes; what is no photograph is a sentence."""

from __future__ import annotations

import hashlib
import io
import os
import shutil

import numpy as np
import pytest
from PIL import Image

from panelwear.camera.photographs import kinds
from panelwear.camera.photographs.kinds import photo_file, photo_files
from panelwear.errors import UsageError


def picture(form: str) -> bytes:
    out = io.BytesIO()
    Image.fromarray(np.zeros((30, 40), np.uint8)).save(out, format=form)
    return out.getvalue()


@pytest.mark.parametrize(("form", "kind"), [("JPEG", "jpeg"), ("PNG", "png"), ("TIFF", "tiff")])
def test_a_picture_is_known_by_its_first_bytes(tmp_path, form, kind):
    path = tmp_path / "picture.txt"
    path.write_bytes(picture(form))
    found = photo_file(path)
    assert (found.kind, found.size_bytes) == (kind, path.stat().st_size)
    assert found.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()


@pytest.mark.parametrize("data", [b"", b"\0\1\2", b'{"format": 1}' * 20, b"row,session\r\n" * 9])
def test_what_is_no_picture_is_a_sentence(tmp_path, data):
    path = tmp_path / "a.dng"
    path.write_bytes(data)
    with pytest.raises(UsageError, match=r"a\.dng: is no photograph"):
        photo_file(path)


def test_pipes_and_folders_and_what_is_too_large_are_not_read(tmp_path, monkeypatch):
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(UsageError, match="a pipe"):
        photo_file(tmp_path / "pipe")
    with pytest.raises(UsageError, match="cannot be read"):
        photo_file(tmp_path)
    monkeypatch.setattr(kinds, "LARGEST_FILE", 100)
    (tmp_path / "a.png").write_bytes(picture("PNG") + bytes(100))
    with pytest.raises(UsageError, match="larger than 100 bytes"):
        photo_file(tmp_path / "a.png")


def test_a_folder_stands_for_the_photographs_in_it(tmp_path):
    Image.fromarray(np.zeros((240, 320), np.uint8)).save(tmp_path / "b.jpg")
    (tmp_path / "a.png").write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(100))
    (tmp_path / "notes.txt").write_text(
        "f/8, 1/4 s, the tripod on its marks; a lens of 50 mm, the room as dark as it gets\n"
    )
    (tmp_path / ".hidden").write_bytes(bytes(100))
    (tmp_path / "more").mkdir()
    found, left_out = photo_files([tmp_path])
    assert [one.path.name for one in found] == ["a.png", "b.jpg"]
    assert [path.name for path in left_out] == ["notes.txt"]
    shutil.copy(tmp_path / "b.jpg", tmp_path / "a.jpg")  # a camera's own beside what can be measured
    found, left_out = photo_files([tmp_path])
    assert [one.path.name for one in found] == ["a.png", "b.jpg"]
    assert [path.name for path in left_out] == ["notes.txt", "a.jpg"]
    assert len(photo_files([tmp_path / "a.png", tmp_path / "a.jpg"])[0]) == 2  # what is named is meant
    with pytest.raises(UsageError, match="more: no photograph lies in this folder"):
        photo_files([tmp_path / "more"])
    with pytest.raises(UsageError, match=r"notes\.txt: is no photograph"):
        photo_files([tmp_path / "notes.txt"])
