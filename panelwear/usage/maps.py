"""Dose maps: what a person's screenshots cost on the average, cell by cell; the pictures themselves are not kept."""

from __future__ import annotations

import hashlib
import io
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from groundwork.documents import printable
from groundwork.files import content
from panelwear.ageing.dose import EXPONENTS
from panelwear.errors import FileFault
from panelwear.folder.panel import Panel
from panelwear.usage.records import FOLDER, Usage
from sequences.model import Zone

Real = NDArray[np.float64]

CELLS_ACROSS = 480
LARGEST_MAP = 64_000_000
LARGEST_UNPACKED = 256_000_000


@dataclass(frozen=True, slots=True, eq=False)
class DoseMap:
    """Mean of (L / L_white)^n over pictures and the pixels of a cell."""

    dose: NDArray[np.float32]
    """By exponent of ``EXPONENTS``, channel, row and column of cells; 1 where white always stands."""
    cell_px: int
    """Width and height of a cell; the last ones of a row or column may be cut."""
    panel_px: tuple[int, int]
    memo: dict[str, Real] = field(default_factory=dict, init=False)
    """Pixels of each cell that are seen of a zone, by its name."""

    def mean(self, zone: str, zones: Sequence[Zone], channel: int, exponent: float) -> float:
        """Return the mean over what is seen of a zone (later ones lie over it); without a name outside all of them."""
        weights = self.memo.get(zone)
        if weights is None:
            weights = self.memo[zone] = self._weights(zone, zones)
        cells = self.dose[EXPONENTS.index(exponent), channel]
        return float((cells * weights).sum() / weights.sum())

    def _weights(self, zone: str, zones: Sequence[Zone]) -> Real:
        width, height = self.panel_px
        seen = np.zeros((height, width), np.float32)
        names = [one.name for one in zones]
        first = names.index(zone) if zone in names else -1
        own = zones[first].rect if first >= 0 else None
        if own is None:
            seen[:] = 1
        else:
            seen[own.y : own.y + own.h, own.x : own.x + own.w] = 1
        for over in zones[first + 1 :]:
            rect = over.rect
            seen[rect.y : rect.y + rect.h, rect.x : rect.x + rect.w] = 0
        if not seen.any():  # wholly under others: what is there is theirs
            rect = own or zones[0].rect
            seen[rect.y : rect.y + rect.h, rect.x : rect.x + rect.w] = 1
        pixels = sums_of_cells(seen, self.cell_px)
        # A cell on the edge holds what lies beside the zone too; in a narrow one that would be much of its mean.
        inside = pixels == sums_of_cells(np.ones_like(seen), self.cell_px)
        return np.where(inside, pixels, 0.0) if inside.any() else pixels


def cell_size(width_px: int) -> int:
    """Return the pixels of a cell on a panel so wide."""
    return max(1, width_px // CELLS_ACROSS)


def sums_of_cells(pixels: NDArray[np.float32], cell_px: int) -> Real:
    """Return the sum of the pixels of each cell, ``(h, w)`` to ``(rows, columns)``."""
    rows = np.add.reduceat(pixels, np.arange(0, pixels.shape[0], cell_px), axis=0, dtype=np.float64)
    return np.asarray(np.add.reduceat(rows, np.arange(0, pixels.shape[1], cell_px), axis=1))


def packed(found: DoseMap) -> bytes:
    """Return a dose map as the bytes of its file."""
    buffer = io.BytesIO()
    np.savez_compressed(buffer, dose=found.dose, exponents=np.array(EXPONENTS), cell_px=np.array(found.cell_px),
                        panel_px=np.array(found.panel_px))  # fmt: skip
    return buffer.getvalue()


def unpacked(data: bytes, name: str, panel_px: tuple[int, int]) -> DoseMap:
    """Read a dose map back; ``FileFault`` says why it is none of this panel's."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            if sum(one.file_size for one in archive.infolist()) > LARGEST_UNPACKED:
                raise _NoMap("it is larger than any dose map")
        with np.load(io.BytesIO(data), allow_pickle=False) as parts:
            dose, exponents, cell, size = (_part(parts, key, *wanted) for key, wanted in _PARTS.items())
        made = DoseMap(dose.astype(np.float32), int(cell), (int(size[0]), int(size[1])))
        _refuse(made, exponents, panel_px)
    # Whatever a damaged archive raises: zipfile and numpy have no error of their own for all of it.
    except Exception as error:
        why = str(error) if isinstance(error, _NoMap) else "it is damaged"
        raise _fault(name, f"is no dose map of this panel ({why})") from None
    return made


class _NoMap(ValueError):  # noqa: N818 - named for what it is
    """Why a file is no dose map, in words."""


_PARTS: dict[str, tuple[str, tuple[int, ...]]] = {
    "dose": ("iuf", (4,)),
    "exponents": ("iuf", (1,)),
    "cell_px": ("iu", (0,)),
    "panel_px": ("iu", (1,)),
}
"""What a file holds, in the order of ``DoseMap``: kinds of numbers (numpy's letters), and in how many dimensions."""
_KINDS = {"c": "complex numbers", "U": "text", "S": "text", "b": "true and false", "O": "objects", "f": "fractions"}


def _part(parts: Mapping[str, NDArray[Any]], key: str, kinds: str, dimensions: tuple[int, ...]) -> NDArray[Any]:
    if key not in parts:
        raise _NoMap(f"it has no {key}")
    found = parts[key]
    if found.dtype.kind not in kinds:
        held = _KINDS.get(found.dtype.kind, f"numbers of the kind {found.dtype}")
        raise _NoMap(f"{key} holds {held} where {'real' if 'f' in kinds else 'whole'} numbers belong")
    if found.ndim not in dimensions or (key == "panel_px" and found.shape != (2,)) or not found.size:
        raise _NoMap(f"{key} has {' x '.join(map(str, found.shape)) or 'one'} numbers, which is not its shape")
    return found


def _fault(name: str, sentence: str) -> FileFault:
    return FileFault((printable(f"{FOLDER}/{name}: {sentence}; read the screenshots again"),))


def _refuse(found: DoseMap, exponents: Real, panel_px: tuple[int, int]) -> None:
    if found.panel_px != panel_px:
        raise _NoMap(f"made for {found.panel_px[0]} x {found.panel_px[1]} px")
    if tuple(np.ravel(exponents)) != EXPONENTS:
        raise _NoMap("made with other exponents")
    if found.cell_px < 1:
        raise _NoMap("its cells have no size")
    shape = (len(EXPONENTS), 3, -(-panel_px[1] // found.cell_px), -(-panel_px[0] // found.cell_px))
    if found.dose.shape != shape:
        raise _NoMap("its cells do not cover the panel")
    if not (np.isfinite(found.dose).all() and (found.dose >= 0).all() and (found.dose <= 1.0001).all()):
        raise _NoMap("dose holds numbers that are no share of white")


def load_map(panel: Panel, name: str, sha256: str) -> DoseMap:
    """Read a dose map of a panel folder; ``FileFault`` where it is gone, changed or none."""
    path = panel.directory / FOLDER / name
    try:
        data = content(path, LARGEST_MAP)
    except OSError as error:
        raise _fault(name, f"cannot be read ({error.strerror})") from None
    if sha256 and hashlib.sha256(data).hexdigest() != sha256:
        raise _fault(name, "is not the file that usage.toml speaks of")
    return unpacked(data, name, (panel.width_px, panel.height_px))


def load_maps(usage: Usage, panel: Panel) -> dict[str, DoseMap]:
    """Read every dose map that is named; one that cannot be used is left out (``map_faults`` says why)."""
    found = {}
    for one in usage.stretches:
        if one.map and one.map not in found:
            try:
                found[one.map] = load_map(panel, one.map, one.map_sha256)
            except FileFault:
                continue
    return found


def map_faults(usage: Usage, panel: Panel) -> tuple[str, ...]:
    """Say which dose maps cannot be used."""
    said: list[str] = []
    for one in usage.stretches:
        if one.map:
            try:
                load_map(panel, one.map, one.map_sha256)
            except FileFault as fault:
                said += fault.problems
    return tuple(dict.fromkeys(said))
