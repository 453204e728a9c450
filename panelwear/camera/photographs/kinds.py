"""Foreign files: only plain ones, none too large, told apart by what they begin with, never by their name."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from groundwork.files import opened
from panelwear.errors import UsageError

Kind = Literal["raw", "tiff", "png", "jpeg"]
LARGEST_FILE = 600_000_000
"""Bytes of a photograph: a raw file of 100 megapixels, stored plainly in 16 bits, with its previews."""
LARGEST_PIXELS = 200_000_000
"""Of a photograph: more than any camera's; a small file may claim to hold far more."""
SMALLEST_SIDE_PX = 200
HEAD_BYTES = 64
PIECE_BYTES = 1 << 20


@dataclass(frozen=True, slots=True)
class PhotoFile:
    """A file that may be a photograph."""

    path: Path
    kind: Kind
    size_bytes: int
    sha256: str


class NoPhotographError(UsageError):
    """A file holds nothing that could be a photograph."""


def photo_files(paths: Sequence[Path]) -> tuple[list[PhotoFile], list[Path]]:
    """Look at files, and at all that lie in folders among them.

    Of a folder is left out what is no photograph, and the JPEG a camera writes beside its raw file.

    Returns:
        The photographs, and what was left out.

    Raises:
        UsageError: a file that was named cannot be read or is no picture; a folder holds none.
    """
    found: list[PhotoFile] = []
    left_out: list[Path] = []
    for path in paths:
        if not path.is_dir():
            found.append(photo_file(path))
            continue
        inside: list[PhotoFile] = []
        for inner in _lying_in(path):
            try:
                inside.append(photo_file(inner))
            except NoPhotographError:
                left_out.append(inner)
        if not inside:
            raise UsageError(f"{path}: no photograph lies in this folder; copy the camera's files into it")
        measured = {one.path.stem for one in inside if one.kind != "jpeg"}
        twins = [one for one in inside if one.kind == "jpeg" and one.path.stem in measured]
        left_out += [one.path for one in twins]
        found += [one for one in inside if one not in twins]
    return found, left_out


def _lying_in(folder: Path) -> list[Path]:
    try:
        return sorted(path for path in folder.iterdir() if path.is_file() and not path.name.startswith("."))
    except OSError as error:
        raise UsageError(f"{folder}: cannot be read ({error.strerror})") from None


def photo_file(path: Path) -> PhotoFile:
    """Look at a file: what it begins with, its size, its digest.

    A file that begins as TIFF may be a raw file of a camera; ``raw`` is settled by who opens it.

    Raises:
        UsageError: it cannot be read, is no plain file, is too large, or is no picture.
    """
    if any("\udc80" <= sign <= "\udcff" for sign in path.name):
        raise UsageError(f"{path}: its name holds bytes that are no text; give it another name")
    try:
        file, size = opened(path, LARGEST_FILE)
        with file:
            head = file.read(HEAD_BYTES)
            digest = hashlib.sha256(head)
            while piece := file.read(PIECE_BYTES):
                digest.update(piece)
    except OSError as error:
        raise UsageError(f"{path}: cannot be read ({error.strerror or error})") from None
    kind = _kind_of(head)
    if kind is None:
        raise NoPhotographError(f"{path}: is no photograph; wanted raw files, TIFF or PNG of 16 bits, or JPEG")
    return PhotoFile(path, kind, size, digest.hexdigest())


def _kind_of(head: bytes) -> Kind | None:
    """Raw files of many cameras are TIFF inside (DNG among them); others begin with words of their maker's own."""
    if head.startswith(b"\xff\xd8\xff"):
        return "jpeg"
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        return "png"
    if head[:4] in {b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"}:
        return "tiff"
    is_text = b"\0" not in head and all(32 <= byte < 127 or byte in b"\t\r\n" for byte in head)
    return None if len(head) < HEAD_BYTES or is_text else "raw"


def refuse_size(file: PhotoFile, width: int, height: int) -> None:
    """Refuse what claims to be larger or smaller than any photograph of a panel; ``UsageError`` says so."""
    if width * height > LARGEST_PIXELS:
        raise UsageError(f"{file.path}: {width} x {height} pixels are more than any photograph has")
    if min(width, height) < SMALLEST_SIDE_PX:
        raise UsageError(f"{file.path}: {width} x {height} pixels are too few for a photograph of a panel")


def unreadable(file: PhotoFile, error: Exception) -> UsageError:
    """Return the sentence for whatever a reader of pictures raised."""
    why = getattr(error, "strerror", None) or str(error)[:200] or type(error).__name__
    return UsageError(f"{file.path}: is damaged, or of a kind that cannot be read ({' '.join(why.split())})")
