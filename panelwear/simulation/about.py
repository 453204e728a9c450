"""What a rehearsal says of itself, on the terminal and in ``about.txt``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from panelwear.simulation.found import ZONE_CHANGE_U, Found, changes, session_u
from panelwear.simulation.model import PanelModel
from panelwear.simulation.probe import ProbeModel


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
What was really so at each checkpoint stands in true-values.json. Same seed ({seed}), same readings.
"""


def table(found: Sequence[Found], true_values: Sequence[Mapping[str, Any]]) -> list[str]:
    """Put what was read beside what is true, a line a checkpoint."""
    from panelwear.colorimetry.basic import uv_prime_of
    from panelwear.colorimetry.cct import cct_duv

    lines = [
        "White in a small window: read ± one standard uncertainty (the probe's session included), then true.",
        "  hours  luminance (cd/m²)            u'                      v'                      CCT (K)           Duv",
    ]
    for f, true in zip(found, true_values, strict=True):
        if f.white_XYZ is None:
            continue
        u, v = uv_prime_of(f.white_XYZ)
        cct, duv = cct_duv(f.white_XYZ)
        u_u, u_v, u_cct, u_duv = session_u(f.white_XYZ)
        true_u, true_v = true["white_uv_prime"]
        lines.append(
            f"  {f.hours:5.0f}  {f.white_XYZ[1]:7.2f} ± {f.white_u_Y:4.2f}  {true['white_XYZ'][1]:7.2f}  "
            f"  {u:.4f} ± {u_u:.4f} {true_u:.4f}  {v:.4f} ± {u_v:.4f} {true_v:.4f}  "
            f"{cct:5.0f} ± {u_cct:2.0f} {true['white_cct_K']:5.0f}   {duv:+.4f} ± {u_duv:.4f} {true['white_duv']:+.4f}"
        )
    lines += _zone_lines(found, true_values)
    return lines


def _zone_lines(found: Sequence[Found], true_values: Sequence[Mapping[str, Any]]) -> list[str]:
    read = changes(found)
    if not read or len(found) < 2:
        return []
    lines = [
        f"Zones against the chart at {found[-1].hours:g} h, the first checkpoint taken out "
        "(grey; read ± one standard uncertainty, then true):"
    ]
    for zone, values in read.items():
        true = 100 * true_values[-1]["zone_change"][zone]["grey"]["c128"]
        if not np.isnan(values[-1]):
            shown = f"{100 * values[-1]:+6.2f} ± {100 * ZONE_CHANGE_U:.2f} %  {true:+6.2f} %"
            lines.append(f"  {zone:<12} {shown}   {_meaning(values[-1])}")
    return lines


def _meaning(change: float) -> str:
    if abs(change) <= 2 * ZONE_CHANGE_U:
        return f"no change larger than {100 * (abs(change) + 2 * ZONE_CHANGE_U):.1f} %"
    return "aged less: brighter" if change > 0 else "aged more: darker"
