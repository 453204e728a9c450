"""Maps as whole pictures with words: a still of one checkpoint, a row of all, a film that fades from one to the next.

Words are drawn as in every other picture of the report; a map's pixels are put in afterwards as they are, so that no
drawing ever resamples them.
"""

from __future__ import annotations

import io
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.showing.tone import CLIPPED, GRAINED, Shown, pixels
from panelwear.camera.showing.views import View
from panelwear.plotting import make_ready

Pixels = NDArray[np.uint8]

PAPER, INK, MUTED = "#101214", "#e4e7ea", "#a0a9b3"
HOLD_MS, FADE_MS, FADE_FRAMES = 2000, 1200, 6
"""How long a checkpoint stands, how long it fades into the next, in how many frames: one change in 3.2 s."""
SIDE, TOP, FOOT, GAP = 0.03, 0.085, 0.085, 0.012
"""Borders in shares of the picture's width and height."""
LETTER = 0.66
"""Mean width of a bold letter, in sizes of the type."""


@dataclass(frozen=True, slots=True)
class SheetSize:
    """Size of a picture in pixels; type keeps its share of the height."""

    width_px: int
    height_px: int

    @property
    def name(self) -> str:
        """For file names."""
        return f"{self.width_px}x{self.height_px}"


STILLS = (SheetSize(1920, 1080), SheetSize(3840, 2160))
FILM, LARGE_FILM = SheetSize(640, 360), SheetSize(1280, 720)


@dataclass(frozen=True, slots=True)
class _Place:
    x: int
    y: int
    times: int


def still(view: View, number: int, size: SheetSize, source: str = "", *, grain: bool = False) -> Pixels:
    """Return one checkpoint of a view as a picture, ``(height, width, 3)``."""
    return _sheet(view, [number], size, source, grain)


def row(view: View, size: SheetSize, source: str = "", *, grain: bool = False) -> Pixels:
    """Return all checkpoints of a view in one row, or in several where they are many, at one gain."""
    return _sheet(view, range(len(view.frames)), size, source, grain)


def page_size(view: View) -> SheetSize:
    """Return a size in which a row shows each cell as one pixel, three checkpoints beside each other."""
    rows, columns = view.frames[0][1].value.shape
    count = len(view.frames)
    beside = min(count, 3)
    width = round((columns + 2) * beside / (1 - 2 * SIDE - GAP * (beside - 1)))
    below = -(-count // beside)
    height = round((rows + 2) * below / (1 - TOP - FOOT - 0.045 * below))
    return SheetSize(max(width, round(1.25 * height)), height)


def film(view: View, size: SheetSize = FILM, source: str = "", *, grain: bool = False) -> Iterator[tuple[Pixels, int]]:
    """Yield the frames of a film with how long each stands in ms; it ends where it began, so that it can go round.

    Pictures fade into each other evenly in drive levels, and no light goes up and down within one fade.
    """
    stills = [still(view, number, size, source, grain=grain).astype(np.float64) for number in range(len(view.frames))]
    for number, one in enumerate(stills):
        yield one.astype(np.uint8), HOLD_MS
        after = stills[(number + 1) % len(stills)]
        if len(stills) < 2:
            return
        for step in range(1, FADE_FRAMES):
            share = step / FADE_FRAMES
            yield np.round((1 - share) * one + share * after).astype(np.uint8), FADE_MS // FADE_FRAMES


def animated(frames: Iterator[tuple[Pixels, int]], kind: str) -> bytes:
    """Return frames as an animation that goes round, without loss; identical frames in a row are merged by Pillow.

    Args:
        frames: pixels and ms.
        kind: ``PNG`` (APNG) or ``WEBP``.
    """
    from PIL import Image

    listed = list(frames)
    pictures = [Image.fromarray(one) for one, _ in listed]
    durations = [ms for _, ms in listed]
    how: dict[str, Any] = {"lossless": True, "method": 2} if kind == "WEBP" else {"pnginfo": _told()}
    out = io.BytesIO()
    pictures[0].save(out, kind, save_all=True, append_images=pictures[1:], duration=durations, loop=0, **how)
    return out.getvalue()


def as_png(one: Pixels) -> bytes:
    """Return pixels as a PNG that says where it is from."""
    from PIL import Image

    out = io.BytesIO()
    Image.fromarray(one).save(out, "PNG", pnginfo=_told())
    return out.getvalue()


def _told() -> Any:
    from PIL.PngImagePlugin import PngInfo

    told = PngInfo()
    told.add_text("Software", "panelwear")
    return told


def _sheet(view: View, numbers: Sequence[int], size: SheetSize, source: str, grain: bool) -> Pixels:
    cells = view.frames[0][1].value.shape
    places = _places(len(numbers), cells, size)
    words = [(view.frames[number][0], place) for number, place in zip(numbers, places, strict=True)]
    foot = " ".join(part for part in (view.about, CLIPPED, GRAINED if grain else "", source) if part)
    made = _words(view, words, cells, size, foot)
    for number, place in zip(numbers, places, strict=True):
        _put(made, view.frames[number][1], place, grain)
    return made


def _put(made: Pixels, one: Shown, place: _Place, grain: bool) -> None:
    part = pixels(one, place.times, grain) if place.times > 0 else pixels(_thinned(one, -place.times), 1, grain)
    made[place.y : place.y + part.shape[0], place.x : place.x + part.shape[1]] = part


def _thinned(one: Shown, by: int) -> Shown:
    """Return a map with the mean of each square of cells, where a row has no room for all; a mark in it stays."""
    rows, columns = (side // by for side in one.value.shape)

    def cut(part: NDArray[Any]) -> NDArray[Any]:
        return (
            part[: rows * by, : columns * by].reshape(rows, by, columns, by).swapaxes(1, 2).reshape(rows, columns, -1)
        )

    marks = [np.asarray(cut(part).any(axis=2)) for part in (one.bright, one.dark, one.unseen)]
    return Shown(np.asarray(cut(one.value).mean(axis=2)), *marks)


def _places(count: int, cells: tuple[int, int], size: SheetSize) -> list[_Place]:
    """Return where each map goes: the columns that give the largest maps; whole pixels a cell or cells a pixel."""
    wide, high = size.width_px * (1 - 2 * SIDE), size.height_px * (1 - TOP - FOOT)
    head, gap = 0.045 * size.height_px, GAP * size.width_px
    best: tuple[float, int, int] = (0.0, 1, 1)
    for columns in range(1, count + 1):
        rows = -(-count // columns)
        room = min((wide - gap * (columns - 1)) / columns / cells[1], (high - head * rows) / rows / cells[0])
        times = int(room) if room >= 1 else -int(np.ceil(1 / max(room, 1e-3)))
        # At one size one row is better than two.
        best = max(best, (times if times > 0 else -1 / times, columns, times))
    scale, columns, times = best
    w, h = int(cells[1] * scale), int(cells[0] * scale)
    rows = -(-count // columns)
    left = (size.width_px - columns * w - (columns - 1) * gap) / 2
    top = TOP * size.height_px + (high - rows * (h + head)) / 2 + head
    return [
        _Place(round(left + (n % columns) * (w + gap)), round(top + (n // columns) * (h + head)), times)
        for n in range(count)
    ]


def _words(
    view: View, words: Sequence[tuple[str, _Place]], cells: tuple[int, int], size: SheetSize, foot: str
) -> Pixels:
    """Draw all words of a picture on its ground; the gain stands above every map and in the title."""
    make_ready()
    import matplotlib as mpl
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    dpi = max(size.height_px / 5.4, size.width_px / 15.5)
    width_pt = 72 * size.width_px / dpi * (1 - 2 * SIDE)
    with mpl.rc_context({"text.parse_math": False, "font.family": "sans-serif", "font.sans-serif": ["DejaVu Sans"]}):
        figure = Figure(figsize=(size.width_px / dpi, size.height_px / dpi), dpi=dpi, facecolor=PAPER)
        figure.text(SIDE, 1 - 0.025, view.title, fontsize=min(13, width_pt / len(view.title) / LETTER),
                    weight="bold", color=INK, va="top")  # fmt: skip
        for head, place in words:
            at = (place.x / size.width_px, 1 - (place.y - 0.008 * size.height_px) / size.height_px)
            figure.text(*at, f"{head}  ·  × {view.gain:g}", fontsize=9, color=INK, va="bottom")
        lines = textwrap.wrap(foot, int(width_pt / 7 / 0.55))
        figure.text(SIDE, 0.02, "\n".join(lines), fontsize=7, color=MUTED, va="bottom", linespacing=1.3)
        canvas: Any = FigureCanvasAgg(figure)
        canvas.draw()
        drawn = np.asarray(canvas.buffer_rgba())[: size.height_px, : size.width_px, :3]
    return np.array(drawn, dtype=np.uint8)
