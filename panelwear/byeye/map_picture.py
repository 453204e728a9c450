"""A picture of the panel with what the eye found: marks, strengths, matched contrasts."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.atomic import write_whole
from panelwear.byeye.map_labels import shifts
from panelwear.folder.panel import Panel
from panelwear.plotting import make_ready
from panelwear.readings.marks import STRENGTHS, Mark
from panelwear.readings.matches import MatchResult

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

FILE = "by-eye-map.png"
INK = {"just seen": "#8fb8de", "plain": "#e0a458", "distracting": "#d1495b"}
GROUND = "#1d2126"
TEXT = "#d8dee6"
LABEL_GAP_PX = 2.0
LABEL_INSIDE_SHARE = 0.04
"""Marks narrower than this share of the panel are named beside themselves."""


def write_map(path: Path, panel: Panel, title: str, marks: Sequence[Mark], matches: Sequence[MatchResult]) -> None:
    """Draw the map to a PNG file, axes in millimetres."""
    make_ready()
    from matplotlib.figure import Figure

    width, height = panel.active_area_mm
    figure = Figure(figsize=(9.6, 9.6 * height / width + 0.7), facecolor=GROUND, layout="constrained")
    axes = figure.subplots()
    axes.set_facecolor("#2b3037")
    for zone in panel.zones:
        _box(axes, panel, (zone.rect.x, zone.rect.y, zone.rect.w, zone.rect.h), "#8a97a5", label=zone.name, solid=False)
    for mark in marks:
        _mark(axes, panel, mark)
    for row in _strongest(matches):
        _match(axes, panel, row)
    axes.set_xlim(0, width)
    axes.set_ylim(height, 0)
    axes.set_aspect("equal")
    axes.set_xlabel("mm from the left", color=TEXT)
    axes.set_ylabel("mm from the top", color=TEXT)
    axes.tick_params(colors=TEXT)
    axes.set_title(title, color=TEXT, loc="left", fontsize=11)
    for strength in STRENGTHS:
        axes.plot([], [], color=INK[strength], linewidth=3, label=strength)
    axes.plot([], [], color="#8a97a5", linestyle=":", label="zone of panel.toml")
    axes.legend(loc="upper center", bbox_to_anchor=(0.5, -0.09), ncols=4, frameon=False, labelcolor=TEXT, fontsize=9)
    _part_labels(figure, axes)
    data = io.BytesIO()
    figure.savefig(data, format="png", dpi=130)
    write_whole(path, data.getvalue())


def _part_labels(figure: Figure, axes: Axes) -> None:
    """Move labels apart; one that was moved keeps a thin line to its place."""
    from matplotlib.text import Annotation

    figure.draw_without_rendering()
    labels = [text for text in axes.texts if isinstance(text, Annotation)]
    labels.sort(key=lambda text: text.get_bbox_patch() is None)  # what was measured keeps its place
    boxes = [text.get_window_extent() for text in labels]
    frame = axes.get_window_extent()
    moves = shifts(
        [(b.x0, b.y0, b.x1, b.y1) for b in boxes], (frame.x0, frame.y0, frame.x1, frame.y1), gap=LABEL_GAP_PX
    )
    for text, box, by in zip(labels, boxes, moves, strict=True):
        if not by:
            continue
        x, y = axes.transData.transform(text.xy)
        label_end = (min(max(x, box.x0), box.x1), (box.y0 if by > 0 else box.y1) + by)
        ends = axes.transData.inverted().transform([label_end, (x, y)])
        axes.plot(*zip(*ends, strict=True), color=text.get_color(), linewidth=0.5)
        text.xyann = (text.xyann[0], text.xyann[1] + by * 72 / figure.dpi)


def _box(axes: Axes, panel: Panel, rect: tuple[int, int, int, int], ink: str, *, label: str, solid: bool) -> None:
    from matplotlib.patches import Rectangle

    sx, sy = panel.pitch_mm
    x, y, w, h = rect
    axes.add_patch(
        Rectangle(
            (x * sx, y * sy),
            w * sx,
            h * sy,
            fill=False,
            edgecolor=ink,
            linestyle="-" if solid else ":",
            linewidth=1.8 if solid else 1.0,
        )
    )
    # Marks are named at the top left, zones at the bottom right: a mark often lies just on a zone.
    tiny = w * sx < LABEL_INSIDE_SHARE * panel.active_area_mm[0]
    left = (x + w) * sx if tiny else x * sx
    at, shift = ((left, y * sy), (3, -3)) if solid else (((x + w) * sx, (y + h) * sy), (-3, 3))
    axes.annotate(
        label,
        at,
        xytext=shift,
        textcoords="offset points",
        ha="left" if solid else "right",
        va="top" if solid else "bottom",
        fontsize=8,
        color=ink,
    )


def _mark(axes: Axes, panel: Panel, mark: Mark) -> None:
    sx, sy = panel.pitch_mm
    ink = INK.get(mark.strength, TEXT)
    label = f"{mark.mark} {mark.kind}"
    if mark.shape == "line":
        axes.plot([mark.x0_px * sx, mark.x1_px * sx], [mark.y0_px * sy, mark.y1_px * sy], color=ink, linewidth=2.2)
        axes.annotate(
            label, (mark.x0_px * sx, mark.y0_px * sy), xytext=(4, 4), textcoords="offset points", fontsize=8, color=ink
        )
        return
    rect = mark.rect
    _box(axes, panel, (rect.x, rect.y, rect.w, rect.h), ink, label=label, solid=True)


def _strongest(matches: Sequence[MatchResult]) -> list[MatchResult]:
    best: dict[str, MatchResult] = {}
    for row in matches:
        if row.contrast_percent is None:
            continue
        now = best.get(row.zone)
        if now is None or now.contrast_percent is None or abs(row.contrast_percent) > abs(now.contrast_percent):
            best[row.zone] = row
    return list(best.values())


def _match(axes: Axes, panel: Panel, row: MatchResult) -> None:
    sx, sy = panel.pitch_mm
    x, y = row.rect.centre
    half = (
        ""
        if row.low_percent is None or row.high_percent is None
        else (f" [{row.low_percent:+.2f}, {row.high_percent:+.2f}]")
    )
    axes.annotate(
        f"{row.zone}: {row.contrast_percent:+.2f} %{half}\n{row.hue} {row.code:g}, {row.word}",
        (x * sx, y * sy),
        xytext=(0, 0),
        textcoords="offset points",
        ha="center",
        va="center",
        fontsize=8,
        color=TEXT,
        bbox={"facecolor": GROUND, "alpha": 0.75, "edgecolor": "none", "pad": 2},
    )
