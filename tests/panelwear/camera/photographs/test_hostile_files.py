"""Files that are not what they should be, one by one and by chance: a sentence each, and nothing is lost."""

from __future__ import annotations

import hashlib
import io
import os
import shutil
import signal
import struct
import subprocess
import sys
import time
import zlib
from pathlib import Path

import numpy as np
import pytest
import tifffile
from PIL import Image

from panelwear.camera import map_files
from panelwear.camera.map_folder import map_ends
from panelwear.camera.photographs import read_files
from panelwear.camera.photographs.kinds import photo_file
from panelwear.camera.photographs.opening import opened_photograph
from panelwear.cli import main
from panelwear.errors import UsageError
from panelwear.upkeep.check import check
from tests.panelwear.camera.photographs.shoots import Taken, taken
from tests.panelwear.camera.photographs.test_opening import wide_png
from tests.panelwear.camera.photographs.test_raw_files import CFA, WHITE, active, black, dng


@pytest.fixture(scope="module")
def good(tmp_path_factory) -> Taken:
    return taken(tmp_path_factory.mktemp("good"))


def digests(folder: Path) -> dict[str, str]:
    files = (path for path in folder.rglob("*") if path.is_file() and not path.is_symlink())
    return {str(path): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}


def png_head(width: int, height: int) -> bytes:
    head = struct.pack(">IIBBBBB", width, height, 16, 2, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", zlib.compress(b"\0" * 900)), (b"IEND", b""))
    parts = [struct.pack(">I", len(d)) + n + d + struct.pack(">I", zlib.crc32(n + d)) for n, d in chunks]
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts)


def wide_dng(folder: Path, width: int) -> bytes:
    path = dng(folder / "wide.dng", CFA, WHITE, *black((64,) * 4))
    with tifffile.TiffFile(path, mode="r+b") as tiff:
        tiff.pages.first.tags[256].overwrite(width)
    return path.read_bytes()


def jpeg_of(width: int, height: int) -> bytes:
    """A JPEG whose head claims another size."""
    out = io.BytesIO()
    Image.fromarray(np.zeros((240, 320), np.uint8)).save(out, "JPEG")
    data = bytearray(out.getvalue())
    at = data.index(b"\xff\xc0") + 5
    data[at : at + 4] = struct.pack(">HH", height, width)
    return bytes(data)


BAD = {
    "nothing": lambda _: b"",
    "one byte": lambda _: b"I",
    "words": lambda _: b"this is no photograph, and it is long enough to be taken for a raw file of some kind\n",
    "head of a TIFF": lambda _: b"II*\0" + b"\0" * 100,
    "TIFF that points at itself": lambda _: b"II*\0\x08\0\0\0\x01\0" + b"\0" * 12 + b"\x08\0\0\0" + b"\0" * 60,
    "PNG of 4 billion pixels a side": lambda _: png_head(2**31 - 1, 2**31 - 1),
    "PNG of 60,000 pixels a side": lambda _: png_head(60_000, 60_000),
    "JPEG of 65,535 pixels a side": lambda _: jpeg_of(65_535, 65_535),
    "DNG of 4 billion columns": lambda folder: wide_dng(folder, 2**32 - 1),
    "DNG of 100,000 columns": lambda folder: wide_dng(folder, 100_000),
    "zeros": lambda _: b"\0" * 5000,
    "noise": lambda _: np.random.default_rng(1).bytes(5000),
}


@pytest.mark.parametrize("name", list(BAD))
def test_a_bad_file_among_good_ones_is_one_sentence_and_nothing_changes(good, name, tmp_path, capsys):
    path = tmp_path / "bad.dng"
    path.write_bytes(BAD[name](tmp_path))
    before = digests(good.panel)
    assert main(["camera", "read", str(good.panel), str(good.files[0]), str(path)]) == 2
    out, err = capsys.readouterr()
    assert out == "" and "bad.dng" in err and "Traceback" not in err
    assert err.count("panelwear camera:") == 1 and len(err.strip().splitlines()) == 1
    assert digests(good.panel) == before


@pytest.mark.parametrize("kind", ["folder", "missing", "pipe", "link to itself"])
def test_what_is_no_plain_file_is_one_sentence(good, kind, tmp_path, capsys):
    path = tmp_path / "bad.dng"
    if kind == "folder":
        path.mkdir()
    elif kind == "pipe":
        os.mkfifo(path)
    elif kind == "link to itself":
        path.symlink_to(path)
    assert main(["camera", "read", str(good.panel), str(good.files[0]), str(path)]) == 2
    err = capsys.readouterr().err
    assert "bad.dng" in err and len(err.strip().splitlines()) == 1


NAMES = [
    "a\x1b[31mred.dng",
    "two\nlines.dng",
    "-q.dng",
    "=cmd.dng",
    "\u202egnp.dng",
    "ä ö.dng",
]


@pytest.mark.parametrize("name", NAMES)
def test_names_act_on_nothing(good, name, tmp_path, capsys):
    """The table is laid out with the name escaped; reading goes on as for any other."""
    path = tmp_path / name
    shutil.copy(good.files[0], path)
    code = main(["camera", "read", str(good.panel), "--dry-run", *map(str, good.files[1:3]), str(path)])
    out, err = capsys.readouterr()
    assert code == 0, err
    assert "\x1b" not in out + err and "\u202e" not in out + err
    assert "title-card" in out


def test_a_name_that_is_no_text_is_one_sentence(good, tmp_path, capsys):
    path = tmp_path / os.fsdecode(b"\xff\xfe.dng")
    shutil.copy(good.files[0], path)
    assert main(["camera", "read", str(good.panel), "--dry-run", str(path)]) == 2
    assert "its name holds bytes that are no text; give it another name" in " ".join(capsys.readouterr().err.split())


def test_tags_of_a_stranger_act_on_nothing(tmp_path):
    odd = [(271, "s", 0, "m\x1b[2Jaker", False), (272, "s", 0, "x" * 5000, False), (33434, "2I", 1, (1, 0), False),
           (34855, "H", 1, 0, False), (36867, "s", 0, "2026:13:45 99:00:00", False)]  # fmt: skip
    photo = opened_photograph(photo_file(dng(tmp_path / "a.dng", CFA, WHITE, *black((64,) * 4), *odd)))
    assert photo.taken.camera.isprintable() and len(photo.taken.camera) < 200
    assert (photo.taken.exposure_s, photo.taken.iso, photo.taken.at) == (None, None, None)


@pytest.mark.filterwarnings("ignore")
def test_damage_by_chance_is_a_sentence_or_a_photograph(tmp_path, capfd):
    """200 files with changed or missing bytes; benchmarks of other files do the same (``benchmarks/fuzz.py``)."""
    pixels = np.random.default_rng(8).integers(0, 65536, (210, 230, 3)).astype(np.uint16)
    dng(tmp_path / "a.dng", CFA, WHITE, *black((64, 65, 66, 67)), active(9, 7, 250, 320))
    wide_png(tmp_path / "b.png", pixels)
    Image.fromarray((pixels >> 8).astype(np.uint8)).save(tmp_path / "c.jpg", quality=90)
    tifffile.imwrite(tmp_path / "d.tif", pixels, photometric="rgb")
    sources = [path.read_bytes() for path in sorted(tmp_path.iterdir())]
    ended = {"photograph": 0, "sentence": 0}
    for seed in range(200):
        rng = np.random.default_rng(seed)
        data = bytearray(sources[seed % len(sources)])
        if seed % 3 == 0:
            del data[int(rng.integers(len(data))) :]
        for place in rng.integers(0, max(1, min(len(data), 700)), 4 if seed % 3 else 0):
            data[int(place)] ^= 1 << int(rng.integers(8))
        path = tmp_path / "damaged"
        path.write_bytes(bytes(data))
        try:
            opened_photograph(photo_file(path))
            ended["photograph"] += 1
        except UsageError as error:
            assert "damaged" in str(error) and "\n" not in str(error)
            ended["sentence"] += 1
    assert min(ended.values()) > 20
    assert "TiffPage" not in capfd.readouterr().err


class Killed(BaseException):
    """As if the program ended there and then."""


@pytest.mark.slow
@pytest.mark.parametrize("after", [0, 1, 3])
def test_reading_that_is_killed_while_maps_are_written_is_told_and_made_again(
    good, after, tmp_path, monkeypatch, capsys
):
    panel = tmp_path / "harbour-desk"
    shutil.copytree(good.panel, panel)
    words = ["camera", "read", str(panel), *(str(p) for p in sorted(panel.glob("checkpoints/*/photos/*.dng")))]
    assert main(words) == 0
    (folder,) = panel.glob("checkpoints/*/maps")
    (folder / "mine.txt").write_text("kept")
    whole = digests(folder)
    real, made = map_files.save_map, []

    def save(*given):
        if len(made) == after:
            raise Killed
        made.append(real(*given))
        return made[-1]

    monkeypatch.setattr(read_files, "save_map", save)
    with pytest.raises(Killed):
        main(words)
    said = "the photographs were not read to the end; read them again"
    assert any(said in problem for problem in check(folder.parent).problems)
    ends, faults = map_ends(panel)
    assert ends == () and said in faults[0]
    monkeypatch.undo()
    assert main(words) == 0
    assert digests(folder) == whole
    assert check(folder.parent).problems == ()


@pytest.mark.slow
def test_a_reading_ended_by_the_system_leaves_photographs_as_they_were(good, tmp_path):
    panel = tmp_path / "harbour-desk"
    shutil.copytree(good.panel, panel)
    files = sorted(panel.glob("checkpoints/*/photos/*.dng"))
    before = digests(panel)
    words = [sys.executable, "-m", "panelwear", "camera", "read", str(panel), *map(str, files)]
    with subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as process:
        deadline = time.monotonic() + 60
        while not list(panel.glob("checkpoints/*/maps/*.npz")) and process.poll() is None:
            assert time.monotonic() < deadline
            time.sleep(0.005)
        process.send_signal(signal.SIGKILL)
    assert before.items() <= digests(panel).items()
    assert main([*words[3:], "-q"]) == 0
    assert before.items() <= digests(panel).items()
    assert len(list(panel.glob("checkpoints/*/maps/*.npz"))) == 4 and check(panel).problems == ()
