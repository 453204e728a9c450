"""What a rehearsal says of itself, on the terminal and in ``about.txt``."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from panelwear.compare.formatting import verdict
from panelwear.figures.checkpoint import figures_of
from panelwear.simulation.model import PanelModel
from panelwear.simulation.probe import ProbeModel
from panelwear.simulation.result import RehearsalResult
from panelwear.uncertainty.formatting import NONE, aligned, rounded, with_uncertainty


def about(model: PanelModel, probe: ProbeModel, seed: int) -> str:
    """Say what is simulated, in plain words."""
    wide, high = model.active_area_mm
    return f"""\
This is a rehearsal. There was no panel and no probe: both are simulated, and every number is invented.

The panel '{model.name}' is {wide:g} x {high:g} mm, three primaries, peak {model.peak_cd_m2:g} cd/m² in small windows
and {model.peak_cd_m2 * model.limiter.full_share:.0f} cd/m² at a full field (a brightness limiter above a load of \
{model.limiter.knee:.0%}). It drifts while it
warms up, is uneven from the factory, wears where it shows much light for long (stretched exponential of the
luminance dose, blue fastest), and runs one compensation cycle between 2000 and 3100 h of use.

The probe is the default simulated probe: repeatability {probe.repeatability:.2%}, placement {probe.placement:.2%}, \
session scale {probe.session_scale:.1%},
session x and y {probe.session_xy:g}, dark noise {probe.dark_noise_cd_m2:g} cd/m², aperture {probe.aperture_mm:g} mm. \
It reads the pixels that the (invisible)
screen really holds, and answers over a real socket as a colorimeter would.

Real are the sequence, the engine, the flash governor, the link with its deadlines, the files. Time is virtual.
True values at each checkpoint stands in true-values.json. Same seed ({seed}), same readings.
"""


WHITE = (("luminance", "white.Y"), ("u'", "white.u_prime"), ("v'", "white.v_prime"), ("CCT", "white.cct"),
         ("Duv", "white.duv"))  # fmt: skip


def table(result: RehearsalResult) -> list[str]:
    """Put what was read beside what is true: white at each checkpoint, then the zones with their verdicts."""
    return [*_white_lines(result), *_zone_lines(result)]


def _white_lines(result: RehearsalResult) -> list[str]:
    rows = [["hours", *(cell for name, _ in WHITE for cell in (name, "true"))]]
    for evidence, true in zip(result.checkpoints, result.true_values, strict=True):
        figures = figures_of(evidence)
        if "white.Y" not in figures:
            continue
        told = [with_uncertainty(figures[key]) if key in figures else NONE for _, key in WHITE]
        rows.append(
            [f"{evidence.hours:g}", *(cell for pair in zip(told, _true_white(true), strict=True) for cell in pair)]
        )
    if len(rows) == 1:
        return []
    return ["White: read ± at 95 %, as 'inspect' and 'report' state it, beside what is true.", *aligned(rows)]


def _true_white(true: Mapping[str, Any]) -> list[str]:
    u, v = true["white_uv_prime"]
    return [f"{true['white_XYZ'][1]:.1f}", f"{u:.5f}", f"{v:.5f}", f"{true['white_cct_K']:.0f}",
            f"{true['white_duv']:.5f}"]  # fmt: skip


def _zone_lines(result: RehearsalResult) -> list[str]:
    pair = result.since_baseline
    rows = [
        [row.name.removeprefix("zone/"), with_uncertainty(row.change.step, signed=True),
         f"{rounded(result.true_change(row.name.removeprefix('zone/')), 0.1, signed=True)} %",
         verdict(row.judged, row.change.step.unit)]
        for row in (pair.rows if pair is not None else ())
        if row.name.startswith("zone/")
    ]  # fmt: skip
    if pair is None or not rows:
        return []
    head = (
        f"Zones against their references, {pair.after.hours:g} h against {pair.before.hours:g} h "
        "(greys; read ± at 95 %, then true, then the verdict of 'compare'):"
    )
    return [head, *aligned(rows)]
