"""Screenshots that a person collected, reduced at once to a dose map: what they cost on the average, cell by cell."""

from __future__ import annotations

import errno
import hashlib
import io
import warnings
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from groundwork.documents import printable
from groundwork.files import content
from panelwear.ageing.dose import EXPONENTS, dose_rate
from panelwear.errors import FileFault, UsageError
from panelwear.panel.response import Response
from panelwear.usage.maps import DoseMap, cell_size, sums_of_cells
from panelwear.usage.rates import CHANNELS, channel_shares

if TYPE_CHECKING:
    from PIL import Image

ENDINGS = (".png", ".jpg", ".jpeg", ".bmp", ".webp")
FORMATS = ("PNG", "JPEG", "BMP", "WEBP")
DEEP_GREY = ("I;16", "I;16B", "I;16L", "I")
"""Grey of sixteen bits; colour of sixteen is read as its upper eight."""
MODES = ("1", "L", "LA", "P", "PA", "RGB", "RGBA", *DEEP_GREY)
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
        raise UsageError(printable(f"--screenshots {folder}: cannot be read ({error.strerror})")) from None
    pictures = [path for path in files if path.suffix.lower() in ENDINGS]
    if not pictures:
        raise UsageError(printable(f"--screenshots {folder}: holds no picture ({', '.join(ENDINGS)})"))
    work, digests, faults = Reduction(size, response), [], []
    for number, path in enumerate(pictures):
        try:
            data = content(path, LARGEST_PICTURE)
            pixels = pixels_of(data, size)
        except (OSError, ValueError) as error:
            faults.append(printable(f"{path.name}: {_why(error)}"))
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


def _why(error: Exception) -> str:
    if isinstance(error, OSError) and error.errno == errno.EFBIG:
        return f"is larger than {LARGEST_PICTURE // 1_000_000} MB, more than a screenshot can be"
    return str(getattr(error, "strerror", None) or error)


def pixels_of(data: bytes, size: tuple[int, int]) -> Pixels:
    """Return a picture's drive levels; ``ValueError`` says in words why it is no screenshot of this panel."""
    from PIL import Image, UnidentifiedImageError

    try:
        # What Pillow warns of is refused by the size, or is of no account; raw on the terminal it helps nobody.
        with warnings.catch_warnings(action="ignore"), Image.open(io.BytesIO(data), formats=FORMATS) as opened:
            _refuse(opened, data, size)
            return _levels(opened)
    except UnidentifiedImageError:
        raise ValueError("is no picture that can be read") from None
    except Image.DecompressionBombError:
        raise ValueError(f"has far more pixels than the panel ({size[0]} x {size[1]} px)") from None
    except _Refused:
        raise
    # Whatever a damaged picture raises: Pillow's readers have no error of their own for all of it.
    except Exception as error:
        raise ValueError(f"is damaged ({error or type(error).__name__})") from None


class _Refused(ValueError):  # noqa: N818 - named for what happened
    """A sound picture, but no screenshot of this panel."""


def _refuse(opened: Image.Image, data: bytes, size: tuple[int, int]) -> None:
    if opened.size != size:
        raise _Refused(f"has {opened.width} x {opened.height} px, the panel {size[0]} x {size[1]} px")
    if opened.mode not in MODES:
        raise _Refused("has colours that are not red, green and blue, or numbers that are no drive levels")
    # 16 and 18 of ITU-T H.273: curves of wide ranges, whose numbers are no drive levels of this panel.
    where = data.find(b"cICP", 0, data.find(b"IDAT")) if opened.format == "PNG" else -1
    if where >= 0 and data[where + 5 : where + 6] in {b"\x10", b"\x12"}:
        raise _Refused("is of a high dynamic range, whose numbers are no drive levels; take it with that switched off")
    frames = int(getattr(opened, "n_frames", 1))
    if frames > 1:
        raise _Refused(
            f"holds {frames} pictures, of which only the first would count; save each as a picture of its own"
        )


def _levels(opened: Image.Image) -> Pixels:
    """Return drive levels of eight bits, the upper ones where there are more; what is clear stands on black."""
    from PIL import Image

    clear = opened.info.get("transparency")
    if opened.mode in DEEP_GREY:
        deep = np.asarray(opened).astype(np.int64)
        grey = np.where(deep == clear, 0, deep >> 8) if isinstance(clear, int) else deep >> 8
        return np.repeat(grey.astype(np.uint8)[:, :, None], 3, axis=2)
    if "A" in opened.getbands() or clear is not None:
        over = opened.convert("RGBA")
        ground = Image.new("RGBA", over.size, (0, 0, 0, 255))
        return np.asarray(Image.alpha_composite(ground, over).convert("RGB"), np.uint8)
    return np.asarray(opened.convert("RGB"), np.uint8)
