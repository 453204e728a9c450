"""Raw files are opened by LibRaw: the sensor's own numbers, with black and saturation of each filter."""

from __future__ import annotations

import os
from typing import Any

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.photographs.kinds import PhotoFile, refuse_size, unreadable
from panelwear.camera.photographs.photograph import Colour, Photograph, Plane
from panelwear.camera.photographs.tags import taken_of, tiff_tags
from panelwear.errors import UsageError
from panelwear.extras import needing

NEAR_WHITE = 0.98
"""Share of the range above black from which a raw pixel counts as saturated: response bends before it ends."""
PILED_UP = 1e-3
"""Share of a frame's pixels that hold its largest number, from which on it is taken for saturation, whatever the file
says: noise spreads any light over more numbers."""
LEAST_WHITE = 1000
"""Numbers above black; no sensor saturates below."""
_FILTERS: dict[str, Colour] = {"R": "red", "G": "green", "B": "blue"}
_BAYER = ["blue", "green", "green", "red"]
SENSOR = 32803
"""Photometric interpretation of a sensor's own numbers."""
_PIECES = ((273, 279), (324, 325))
"""Where strips and tiles begin, and how many bytes each has."""
ACTIVE_AREA, BLACK_DIM, BLACK, MASKED = 50829, 50713, 50714, 50830
_BLACK_DELTAS = (50715, 50716)
"""Tags of DNG files (DNG specification 1.4, from memory)."""


def opened_raw(file: PhotoFile) -> Photograph:
    """Open a raw file.

    Raises:
        UsageError: it is damaged, too large, or its sensor has no red, green and blue filters of 2 x 2 pixels.
    """
    with needing("the camera"):
        import rawpy
    tags = tiff_tags(file, SENSOR) if file.kind == "tiff" else {}
    if _ends_early(file, tags):
        raise UsageError(f"{file.path}: ends before its pixels do; copy it from the camera once more")
    try:
        with rawpy.imread(os.fspath(file.path)) as raw:
            sizes = raw.sizes
            refuse_size(file, sizes.width, sizes.height)
            pattern = raw.raw_pattern
            if raw.raw_type != rawpy.RawType.Flat or pattern is None or pattern.shape != (2, 2):
                raise _no_bayer(file)
            cfa = raw.raw_image_visible.copy()
            # LibRaw tells black by colour index, not by place.
            indices = np.asarray(raw.raw_colors_visible[:2, :2])
            names = raw.color_desc.decode("ascii", "replace")
            blacks = np.asarray(raw.black_level_per_channel, dtype=np.float64)[indices]
            whites = _whites(raw)[indices]
            other = _of_libraw(raw.other)
    except UsageError:
        raise
    except (rawpy.LibRawError, OSError, ValueError, AttributeError, MemoryError, IndexError) as error:
        raise unreadable(file, error) from None
    own = black_by_place(file, tags, (sizes.top_margin, sizes.left_margin))
    planes = _planes(file, cfa, [_FILTERS.get(names[int(n)]) for n in indices.ravel()], blacks if own is None else own,
                     whites)  # fmt: skip
    return Photograph(file.path.name, file.sha256, (cfa.shape[1], cfa.shape[0]), planes, taken_of(other | tags))


def _ends_early(file: PhotoFile, tags: dict[int, Any]) -> bool:
    """Tell a file that was cut off, which LibRaw would fill up with zeros."""
    for begins, sizes in _PIECES:
        try:
            ends = np.asarray(tags[begins], dtype=np.int64) + np.asarray(tags[sizes], dtype=np.int64)
        except (KeyError, TypeError, ValueError, OverflowError):
            continue
        if ends.size and int(ends.max()) > file.size_bytes:
            return True
    return False


def _no_bayer(file: PhotoFile) -> UsageError:
    return UsageError(
        f"{file.path}: its sensor has no red, green and blue filters of 2 x 2 pixels; wanted another camera's files"
    )


def _whites(raw: Any) -> NDArray[np.float64]:
    """Return from where each colour index is saturated: what the maker says of it, where a file says it."""
    each = raw.camera_white_level_per_channel
    white = float(raw.white_level)
    told = [white] * 4 if each is None else [float(one) if 0 < one < white else white for one in each]
    return np.array(told)


def _planes(
    file: PhotoFile, cfa: NDArray[Any], colours: list[Colour | None], blacks: NDArray[np.float64],
    whites: NDArray[np.float64],
) -> tuple[Plane, ...]:  # fmt: skip
    """Return the four planes of a frame."""
    if sorted(str(one) for one in colours) != _BAYER:
        raise _no_bayer(file)
    most = float(cfa.max())
    is_cut = most > blacks.max() + LEAST_WHITE and float((cfa == cfa.max()).mean()) > PILED_UP
    found = []
    for (top, left), colour in zip(np.ndindex(2, 2), colours, strict=True):
        black = float(blacks[top, left])
        white = min(float(whites[top, left]), most) if is_cut else float(whites[top, left])
        near = black + NEAR_WHITE * (white - black)
        if colour is not None:
            found.append(Plane(colour, top, left, 2, cfa[top::2, left::2], black, near))
    return tuple(found)


def black_by_place(file: PhotoFile, tags: dict[int, Any], margins: tuple[int, int]) -> NDArray[np.float64] | None:
    """Return black at the 2 x 2 places of the visible frame as a DNG's own tags have it; ``None``: as LibRaw says.

    A DNG's black repeats from the corner of its active area. LibRaw begins at its visible frame, whose corner it moves
    to even rows and columns, and leaves out whatever repeats over more than two.

    Raises:
        UsageError: black is other from one pair of rows or columns to the next.
    """
    try:
        rows, columns = (int(side) for side in tags.get(BLACK_DIM, (1, 1)))
        numbers = np.atleast_1d(np.asarray(tags[BLACK], dtype=np.float64)).ravel()
        if len(numbers) == 2 * rows * columns:  # fractions, as pairs
            numbers = numbers[::2] / numbers[1::2]
        level = numbers.reshape(rows, columns)
        area = tags.get(ACTIVE_AREA, (*margins, 0, 0))
        top, left = margins[0] - int(area[0]), margins[1] - int(area[1])
    except (KeyError, TypeError, ValueError, IndexError):
        return None
    whole = np.roll(np.tile(level, (2, 2)), (-top, -left), axis=(0, 1))
    if rows > 2 or columns > 2:
        spread = max(float(np.ptp(whole[n::2, m::2])) for n, m in np.ndindex(2, 2))
        if spread > 0 or rows % 2 or columns % 2:
            raise UsageError(
                f"{file.path}: its black level repeats over {rows} x {columns} pixels, which is not read; take raw"
                " files as the camera writes them"
            )
    if MASKED in tags or any(one in tags for one in _BLACK_DELTAS) or not np.isfinite(whole).all():
        return None  # LibRaw measures black where the sensor is covered, and takes the mean of what differs by line
    return np.array(whole[:2, :2])


def _of_libraw(told: Any) -> dict[int, Any]:
    """Return what LibRaw found in a raw file, under the numbers the tags have."""
    moment = told.timestamp.strftime("%Y:%m:%d %H:%M:%S") if told.timestamp and told.timestamp.year > 1971 else None
    return {33434: told.shutter_speed, 33437: told.aperture, 34855: told.iso_speed, 37386: told.focal_length,
            306: moment}  # fmt: skip
