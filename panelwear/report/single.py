"""Each figure of a report alone: SVG and PNG, wide and square, light and dark."""

from __future__ import annotations

from pathlib import Path

from panelwear.errors import UsageError
from panelwear.report.content import Report


def write_figures(report: Report, folder: Path) -> tuple[Path, ...]:
    """Write every picture of a report by itself and return the files, ``<key>-<size>-<look>.svg`` and ``.png``.

    Nothing is written where any file of that name is not one of these.

    Raises:
        UsageError: the report has no picture, or a file of that name is there that is not from here.
        StorageFault: a file cannot be written.
    """
    from panelwear.atomic import make_folder, refuse_foreign, write_whole
    from panelwear.report.pictures.alone import FORMATS, alone
    from panelwear.report.pictures.style import DARK, LIGHT

    if not report.pictures:
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


def source_of(report: Report) -> str:
    """Return the line below every figure: which panel, when, with what, and whether the numbers are invented."""
    invented = f" {report.banner}" if report.banner else ""
    changed = " Not as it was written: see the report." if report.faults else ""
    return f"Source: {report.panel}, {report.subtitle}; {report.software}.{invented}{changed}"


def _is_ours(head: bytes) -> bool:
    return b"panelwear" in head and (b"<svg" in head or head.startswith(b"\x89PNG"))
