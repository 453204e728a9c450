"""Pictures of a rehearsal, as PNG. Colours can be told apart by colour-blind eyes; every axis has its unit."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from panelwear.figures.evidence import Evidence
from panelwear.plotting import new_figure
from panelwear.simulation.contact_sheet import contact_sheet
from panelwear.simulation.panel import PanelState
from panelwear.simulation.result import RehearsalResult
from panelwear.telling.layout import text_of
from panelwear.telling.parts import Prose, grid
from panelwear.uncertainty.coverage import expanded
from panelwear.uncertainty.formatting import with_uncertainty

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

BLUE, ORANGE, GREEN, GREY, BLACK = "#0072B2", "#D55E00", "#009E73", "#767676", "#222222"
"""Okabe and Ito's palette, told apart by colour-blind eyes."""
GAIN = 15
"""How much the ageing map exaggerates: full colour stands for 1/15 of the luminance."""
INVENTED = "simulated panel and probe, all numbers invented"


def draw_all(directory: Path, result: RehearsalResult, states: Sequence[PanelState]) -> tuple[Path, ...]:
    """Draw every picture of a rehearsal into a folder; ``states`` are those of its checkpoints. Returns their paths."""
    figures = {
        "patterns.png": contact_sheet(),
        "white-against-hours.png": white_against_hours(result),
        "grey-ramp.png": grey_ramp(result.checkpoints, states),
        "ageing-map.png": ageing_map(result, states),
    }
    paths = []
    for name, figure in figures.items():
        paths.append(directory / name)
        figure.savefig(paths[-1], dpi=110, metadata={"Software": "panelwear"})
    return tuple(paths)


def white_against_hours(result: RehearsalResult) -> Figure:
    """Draw luminance, colour temperature with Duv, and u'v' of white over the hours, measured beside true."""
    figure = new_figure(12, 7, "White in a small window, against hours of use", INVENTED)
    (luminance, cct), (duv, plane) = figure.subplots(2, 2)
    true = result.true_values
    _over_hours(luminance, result, "white.Y", [t["white_XYZ"][1] for t in true], "luminance (cd/m²)")
    _over_hours(cct, result, "white.cct", [t["white_cct_K"] for t in true], "correlated colour temperature (K)")
    _over_hours(duv, result, "white.duv", [t["white_duv"] for t in true], "Duv")
    _plane(plane, result)
    return figure


def _over_hours(axes: Axes, result: RehearsalResult, name: str, true: Sequence[float], label: str) -> None:
    axes.plot([e.hours for e in result.checkpoints], true, "-", color=GREY, label="true")
    if read := result.figure(name):
        hours, estimates = [h for h, _ in read], [e for _, e in read]
        values, bars = [e.value for e in estimates], [expanded(e) for e in estimates]
        axes.errorbar(hours, values, bars, fmt="o", color=BLUE, capsize=3, label="read, ± at 95 %")
    axes.set(xlabel="hours of use (h)", ylabel=label)
    axes.legend(fontsize=8)
    axes.grid(alpha=0.3)


def _plane(axes: Axes, result: RehearsalResult) -> None:
    true = np.array([t["white_uv_prime"] for t in result.true_values])
    axes.plot(true[:, 0], true[:, 1], ".-", color=GREY, label="true")
    read = list(zip(result.figure("white.u_prime"), result.figure("white.v_prime"), strict=True))
    if read:
        axes.plot([u.value for (_, u), _ in read], [v.value for _, (_, v) in read], "o", color=BLUE, label="read")
    for (hours, u), (_, v) in read:
        at = (u.value, v.value)
        axes.annotate(f"{hours:g} h", at, xytext=(6, -9), textcoords="offset points", fontsize=8)
    axes.set(xlabel="u'", ylabel="v'")
    axes.margins(0.15)
    axes.set_aspect("equal", adjustable="datalim")
    axes.ticklabel_format(useOffset=False)
    axes.tick_params(axis="x", labelrotation=30)
    axes.legend(fontsize=8)
    axes.grid(alpha=0.3)


def _ramp(evidence: Evidence) -> dict[float, float]:
    """Return drive level and luminance of the grey ramp's readings that lie above the probe's floor."""
    greys = evidence.select(purpose="ramp", hue="grey", place="centre")
    return {mean.code: mean.Y for mean in greys if mean.level.startswith("c") and not evidence.is_dark(mean)}


def grey_ramp(checkpoints: Sequence[Evidence], states: Sequence[PanelState]) -> Figure:
    """Draw the grey ramp of the first and last checkpoint, and how far each code fell."""
    figure = new_figure(12, 5.2, "Grey ramp, 10 % window in the centre", INVENTED)
    ramp, loss = figure.subplots(1, 2)
    first, last = checkpoints[0], checkpoints[-1]
    then, now = _ramp(first), _ramp(last)
    codes = np.arange(1, 256)
    curve = states[0].panel.emission.curves.mean(axis=0)[codes] * states[0].model.peak_cd_m2
    ramp.plot(codes, curve + states[0].model.black_cd_m2, "-", color=GREY, label="true, when new")
    for hours, read, colour, mark in ((first.hours, then, BLUE, "o"), (last.hours, now, ORANGE, "s")):
        ramp.plot(list(read), list(read.values()), mark, color=colour, ms=4, label=f"read at {hours:g} h")
    ramp.set(xscale="log", yscale="log", xlabel="drive level (0 to 255)", ylabel="luminance (cd/m²)")
    ramp.set_xticks([8, 16, 32, 64, 128, 255], ["8", "16", "32", "64", "128", "255"])
    both = sorted(c for c in then if c >= 16 and c in now)
    change = [100 * (now[c] / then[c] - 1) for c in both]
    loss.axhline(0, color=BLACK, lw=0.8)
    loss.plot(both, change, "o", color=BLUE, label=f"read, {last.hours:g} h against {first.hours:g} h")
    loss.plot(codes[8:], _true_change(states[0], states[-1], codes[8:]), "-", color=GREY, label="true")
    loss.set(xlabel="drive level (0 to 255)", ylabel="change of luminance (%)")
    loss.margins(y=0.3)
    for axes in (ramp, loss):
        axes.legend(fontsize=8)
        axes.grid(alpha=0.3)
    return figure


def _true_change(new: PanelState, old: PanelState, codes: NDArray[np.int64]) -> NDArray[np.float64]:
    half = np.array([0.5])
    light = []
    for state in (new, old):
        drive = state.panel.emission.curves[:, codes].T
        light.append(state.panel.emission.light(drive[:, None, :], state.spot(half, half))[:, 0, 1])
    return np.asarray(100 * (light[1] / light[0] - 1))


def ageing_map(result: RehearsalResult, states: Sequence[PanelState]) -> Figure:
    """Draw the true wear of the zones against the chart, much exaggerated, with what was read of them."""
    shown = states[1:] if len(states) > 1 else states
    wanted = [(f"grey, {state.hours:g} h", state, (128, 128, 128)) for state in shown]
    if len(wanted) % 3 == 2:
        wanted.append(("", states[-1], (0, 0, 0)))
    last = states[-1]
    for hue, codes in (("red", (128, 0, 0)), ("green", (0, 128, 0)), ("blue", (0, 0, 128))):
        wanted.append((f"{hue} alone, {last.hours:g} h", last, codes))
    rows = -(-len(wanted) // 3)
    figure = new_figure(12, 2.55 * rows + 1.2, "Wear of the panel, exaggerated", f"{INVENTED}; truth, not readings")
    grid: Any = figure.subplots(rows, 3, squeeze=False)
    picture: Any = None
    for axes in grid.ravel():
        axes.axis("off")
    for axes, (title, state, code) in zip(grid.ravel(), wanted, strict=False):
        if not title:
            _read_zones(axes, result)
            continue
        change = change_map(states[0], state, code)
        chart = float(np.median(change))
        picture = _map(axes, 100 * ((100 + change) / (100 + chart) - 1), 100 / GAIN)
        axes.set_title(f"{title} (the chart itself {chart:+.1f} %)", fontsize=9.5)
        if state is shown[0] and state is not last:
            _name_zones(axes, state)
    bar = figure.colorbar(picture, ax=list(grid.ravel()), orientation="horizontal", shrink=0.7, aspect=45, pad=0.03)
    bar.set_label(
        f"luminance against the chart, the new panel's own unevenness taken out (%), code 128.\n"
        f"Gain {GAIN}: full colour is ±{100 / GAIN:.1f} % in every map. Purple: brighter, aged less; brown: aged more."
    )
    return figure


def change_map(new: PanelState, old: PanelState, codes: tuple[int, ...], size: tuple[int, int] = (160, 90)) -> Any:
    """Give the luminance of one colour against the new panel, in per cent, ``(height, width)``."""
    columns, rows = np.meshgrid((np.arange(size[0]) + 0.5) / size[0], (np.arange(size[1]) + 0.5) / size[1])
    light = []
    for state in (new, old):
        drive = state.panel.emission.curves[np.arange(3), np.asarray(codes)]
        spot = state.spot(columns.ravel(), rows.ravel())
        light.append(state.panel.emission.light(np.broadcast_to(drive, (columns.size, 3)), spot)[:, 1])
    return (100 * (light[1] / light[0] - 1)).reshape(size[1], size[0])


def _map(axes: Axes, values: NDArray[np.float64], limit: float) -> Any:
    axes.axis("on")
    axes.set_xticks([])
    axes.set_yticks([])
    return axes.imshow(values, cmap="PuOr", vmin=-limit, vmax=limit, interpolation="nearest")


def _name_zones(axes: Axes, state: PanelState) -> None:
    height, width = 90, 160
    for content in state.model.usage[1:]:
        left, top, right, bottom = content.share
        below = bottom * height + 4 if bottom - top < 0.2 else (top + bottom) / 2 * height
        at_edge = right > 0.95 and right - left < 0.2
        x = right * width if at_edge else (left + right) / 2 * width
        side = "right" if at_edge else "center"
        axes.text(x, below, content.zone, ha=side, va="center", fontsize=8, color=BLACK)


def _read_zones(axes: Axes, result: RehearsalResult) -> None:
    """Write beside the maps what the comparison says of the zones."""
    pair = result.since_baseline
    rows = [row for row in (pair.rows if pair is not None else ()) if row.name.startswith("zone/")]
    if pair is None or not rows:
        return
    lines = ["Read by the probe, greys,", f"against the reference at {pair.after.hours:g} h,",
             f"since {pair.before.hours:g} h (± at 95 %):", ""]  # fmt: skip
    names = [(r.name.removeprefix("zone/"), with_uncertainty(r.change.step, signed=True)) for r in rows]
    text = text_of([*map(Prose, lines), grid(("", ""), names)], 200)
    axes.text(0.05, 0.9, text, va="top", fontsize=10, family="monospace", transform=axes.transAxes)
