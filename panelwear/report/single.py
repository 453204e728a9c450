"""Each figure of a report alone: SVG and PNG, wide and square, light and dark."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.errors import UsageError
from panelwear.report.content import Report

if TYPE_CHECKING:
    from panelwear.camera.showing.tone import Pixels
    from panelwear.camera.showing.views import View


def write_figures(report: Report, folder: Path, *, alone_too: bool = False) -> tuple[Path, ...]:
    """Write every picture of a report by itself and return the files, ``<key>-<size>-<look>.svg`` and ``.png``.

    Nothing is written where any file of that name is not one of these.

    Args:
        report: what was put together.
        folder: where to.
        alone_too: photographs are written as well, so that a report without a figure is none to refuse.

    Raises:
        UsageError: the report has no picture, or a file of that name is there that is not from here.
        StorageFault: a file cannot be written.
    """
    from panelwear.atomic import make_folder, refuse_foreign, write_whole
    from panelwear.report.pictures.alone import FORMATS, alone
    from panelwear.report.pictures.style import DARK, LIGHT

    if not report.pictures and not alone_too:
        raise UsageError(f"{report.panel}: there is no figure to draw yet; zones, a grid, a ramp or windows make them")
    wanted = [(p, palette, size) for p in report.pictures for size in FORMATS for palette in (LIGHT, DARK)]
    names = [folder / f"{p.key}-{size.name}-{palette.name}" for p, palette, size in wanted]
    for name in names:
        for suffix in (".svg", ".png"):
            refuse_foreign(name.with_name(name.name + suffix), _is_ours, "figure of this program")
    make_folder(folder)
    written = []
    for (picture, palette, size), name in zip(wanted, names, strict=True):
        for suffix, data in zip((".svg", ".png"), alone(picture, palette, size, source_of(report)), strict=True):
            target = name.with_name(name.name + suffix)
            write_whole(target, data)
            written.append(target)
    return tuple(written)


def write_photographs(views: Sequence[View], folder: Path, source: str, *, grain: bool = False) -> tuple[Path, ...]:
    """Write maps as pictures and films, and return the files.

    Every view in one row, 1920 x 1080 and 3840 x 2160; of what tells most of each hue each checkpoint alone in both
    sizes too, and films that fade from one to the next, APNG and WebP.

    Args:
        views: what is shown.
        folder: where to.
        source: line that says where it is from.
        grain: add a fixed grain, which video compression keeps.

    Raises:
        UsageError: a file of that name is there that is not from here.
        StorageFault: a file cannot be written.
    """
    from panelwear.atomic import make_folder, refuse_foreign, write_whole
    from panelwear.camera.showing.sheets import LARGE_FILM, STILLS, animated, as_png, film, row, still
    from panelwear.camera.showing.views import telling

    def png(drawn: Callable[[], Pixels]) -> Callable[[], bytes]:
        return lambda: as_png(drawn())

    def moving(view: View, kind: str) -> Callable[[], bytes]:
        return lambda: animated(film(view, LARGE_FILM, source, grain=grain), kind)

    wanted: dict[str, Callable[[], bytes]] = {}
    for size in STILLS:
        for view in views:
            drawn = partial(row, view, size, source, grain=grain)
            wanted[f"photo-{view.key}-{size.name}.png"] = png(drawn)
        for view in telling(views):
            for number in range(len(view.frames)):
                drawn = partial(still, view, number, size, source, grain=grain)
                wanted[f"photo-{view.key}-{number + 1}-{size.name}.png"] = png(drawn)
    for view in telling(views):
        for kind, ending in (("PNG", "apng"), ("WEBP", "webp")) if len(view.frames) > 1 else ():
            wanted[f"film-{view.key}.{ending}"] = moving(view, kind)
    for name in wanted:
        refuse_foreign(folder / name, _is_our_picture, "figure of this program")
    make_folder(folder)
    for name, drawn_of in wanted.items():
        write_whole(folder / name, drawn_of())
    return tuple(folder / name for name in wanted)


def source_of(report: Report) -> str:
    """Return the line below every figure: which panel, when, with what, and whether the numbers are invented."""
    invented = f" {report.banner}" if report.banner else ""
    changed = " Not as it was written: see the report." if report.faults else ""
    return f"Source: {report.panel}, {report.subtitle}; {report.software}.{invented}{changed}"


def _is_ours(head: bytes) -> bool:
    return b"panelwear" in head and (b"<svg" in head or head.startswith(b"\x89PNG"))


def _is_our_picture(head: bytes) -> bool:
    """Tell our own pixels: a PNG that says so, or an animated WebP, which holds no words at its beginning."""
    return (head.startswith(b"\x89PNG") and b"panelwear" in head) or (head[8:12] == b"WEBP" and b"ANIM" in head)
