"""Screenshots that a person collected, reduced at once to a dose map: what they cost on the average, cell by cell."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from groundwork.files import content
from panelwear.ageing.dose import EXPONENTS, dose_rate
from panelwear.errors import FileFault, UsageError
from panelwear.panel.response import Response
from panelwear.usage.maps import DoseMap, cell_size, sums_of_cells
from panelwear.usage.rates import CHANNELS, channel_shares

ENDINGS = (".png", ".jpg", ".jpeg", ".bmp", ".webp")
FORMATS = ("PNG", "JPEG", "BMP", "WEBP")
MODES = ("1", "L", "LA", "P", "PA", "RGB", "RGBA")
"""Eight bits a channel: with more, what is dark could not be told from what the file calls white."""
LARGEST_PICTURE = 200_000_000
MOST_SAID = 10

Pixels = NDArray[np.uint8]


@dataclass(frozen=True, slots=True, eq=False)
class Reduced:
    """What is kept of screenshots."""

    map: DoseMap
    pictures: int
    sha256: str
    """Of the pictures, whatever they are called: the same ones give the same."""
    other_files: int
    """Files of the folder that are no pictures."""


class Reduction:
    """Adds pictures up, one at a time.

    Args:
        size: pixels across and down.
        response: light against drive level.
    """

    def __init__(self, size: tuple[int, int], response: Response) -> None:
        self._size = size
        self._cell = cell_size(size[0])
        shares = [channel_shares(response, channel) for channel in CHANNELS]
        self._costs = np.stack([[dose_rate(share, n) for share in shares] for n in EXPONENTS]).astype(np.float32)
        self._pixels = sums_of_cells(np.ones((size[1], size[0]), np.float32), self._cell)
        self._sum = np.zeros((len(EXPONENTS), len(CHANNELS), *self._pixels.shape))
        self.pictures = 0

    def add(self, pixels: Pixels) -> None:
        """Add one picture, ``(height, width, 3)``, drive levels 0 to 255."""
        for channel in range(len(CHANNELS)):
            own = np.ascontiguousarray(pixels[:, :, channel])
            for n in range(len(EXPONENTS)):
                self._sum[n, channel] += sums_of_cells(self._costs[n, channel][own], self._cell)
        self.pictures += 1

    def map(self) -> DoseMap:
        """Return the mean over the pictures."""
        mean = self._sum / (self._pixels * self.pictures)
        return DoseMap(mean.astype(np.float32), self._cell, self._size)


def reduce_folder(
    folder: Path, size: tuple[int, int], response: Response, tell: Callable[[int, int], None] | None = None
) -> Reduced:
    """Read every picture of a folder and reduce them; none is changed, moved or kept.

    Args:
        folder: what a person collected.
        size: pixels of the panel; a picture of another size is refused.
        response: light against drive level.
        tell: called with how many pictures are done, and how many there are.

    Raises:
        UsageError: there is no such folder, or no picture in it.
        FileFault: pictures that cannot be used, all of them.
    """
    try:
        files = sorted(path for path in folder.iterdir() if path.is_file())
    except OSError as error:
        raise UsageError(f"--screenshots {folder}: cannot be read ({error.strerror})") from None
    pictures = [path for path in files if path.suffix.lower() in ENDINGS]
    if not pictures:
        raise UsageError(f"--screenshots {folder}: holds no picture ({', '.join(ENDINGS)})")
    work, digests, faults = Reduction(size, response), [], []
    for number, path in enumerate(pictures):
        try:
            data = content(path, LARGEST_PICTURE)
            pixels = pixels_of(data, size)
        except (OSError, ValueError) as error:
            faults.append(f"{path.name}: {getattr(error, 'strerror', None) or error}")
            continue
        if not faults:  # once one is refused, the others are looked at for their faults alone
            work.add(pixels)
            digests.append(hashlib.sha256(data).hexdigest())
        if tell is not None:
            tell(number + 1, len(pictures))
    if faults:
        more = len(faults) - MOST_SAID
        raise FileFault((*faults[:MOST_SAID], *((f"and {more} more",) if more > 0 else ()),
                         "nothing was kept: take these out of the folder, or make them again"))  # fmt: skip
    together = hashlib.sha256("\n".join(sorted(digests)).encode()).hexdigest()
    return Reduced(work.map(), work.pictures, together, len(files) - len(pictures))


def pixels_of(data: bytes, size: tuple[int, int]) -> Pixels:
    """Return a picture's drive levels; ``ValueError`` says in words why it is no screenshot of this panel."""
    from PIL import Image, UnidentifiedImageError

    try:
        with Image.open(io.BytesIO(data), formats=FORMATS) as opened:
            if opened.size != size:
                raise ValueError(f"has {opened.width} x {opened.height} px, the panel {size[0]} x {size[1]} px")
            if opened.mode not in MODES:
                raise ValueError("has more than eight bits a channel, or colours that are not red, green and blue")
            if "A" in opened.getbands() or "transparency" in opened.info:
                clear = opened.convert("RGBA")
                ground = Image.new("RGBA", clear.size, (0, 0, 0, 255))
                return np.asarray(Image.alpha_composite(ground, clear).convert("RGB"), np.uint8)
            return np.asarray(opened.convert("RGB"), np.uint8)
    except UnidentifiedImageError:
        raise ValueError("is no picture that can be read") from None
    # SyntaxError is what Pillow raises for some broken PNG files.
    except (OSError, SyntaxError, EOFError, Image.DecompressionBombError) as error:
        raise ValueError(f"is damaged ({error})") from None
