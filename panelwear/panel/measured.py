"""A response measured on the panel: from readings to curves, and what is odd about them."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from panelwear.panel.assumed import BT709_SHARES, split
from panelwear.panel.curve import Curve
from panelwear.panel.fit import exponent_of, interpolated, never_falling
from panelwear.panel.noise import NoiseModel, fit_noise
from panelwear.panel.response import MEASURED, Additivity, Geometry, Node, Response
from panelwear.readings.table import ReadingTable
from patterns.frame import BLACK, Codes
from sequences.keys import PatchKey

Real = NDArray[np.float64]

ASSUMED_NOISE = NoiseModel(0.003, 0.0, 0.002, dof=0)
"""Taken when no code was read twice: 0.2 % and 0.003 cd/m² (common practice, no source)."""

ADDITIVE_WITHIN = 0.005
CHANNELS = ("grey", "red", "green", "blue")


def fit_curve(
    codes: ArrayLike, luminances_cd_m2: ArrayLike, u_cd_m2: ArrayLike, hue: str = "grey"
) -> tuple[Curve, tuple[str, ...]]:
    """Fit a never-falling, shape-preserving curve to luminances measured at codes.

    Args:
        codes: Drive codes 0..255, in any order.
        luminances_cd_m2: Mean luminance at each; what is not a number or clearly below zero is left out and said.
        u_cd_m2: Standard uncertainty of each mean, above zero.
        hue: For the sentences.

    Returns:
        The curve, and one sentence for everything a person should know (not monotone, clips, left out).

    Raises:
        ValueError: Fewer than two usable points, or no light at all.
    """
    order = np.argsort(np.asarray(codes, dtype=np.float64), kind="stable")
    x, Y, u = (np.asarray(v, dtype=np.float64)[order] for v in (codes, luminances_cd_m2, u_cd_m2))
    odd = ~np.isfinite(Y) | ~np.isfinite(u) | (Y + 3 * u < 0)
    notes = [
        f"{hue}: the luminance at drive level {code:g} ({value:g} cd/m²) was left out."
        for code, value in zip(x[odd], Y[odd], strict=True)
    ]
    x, Y, u = x[~odd], np.maximum(Y[~odd], 0.0), np.maximum(u[~odd], 1e-9)
    if len(np.unique(x)) < 2 or Y.max() <= Y.min():
        raise ValueError(
            f"{hue}: a response needs usable readings at two drive levels or more, with light at the brighter one."
        )
    notes += _falls(x, Y, u, hue)
    level = never_falling(Y, 1 / u**2)
    notes += _clips(x, level, u, hue)
    if x[0] > 0:
        notes.append(f"{hue}: black was not read, so it is taken as 0 cd/m².")
    if x[-1] < 255:
        notes.append(
            f"{hue}: nothing above drive level {x[-1]:g} was read; the curve goes on along its power from there."
        )
    return interpolated(list(x), list(level)), tuple(notes)


def _falls(x: Real, Y: Real, u: Real, hue: str) -> list[str]:
    sure = Y[1:] < Y[:-1] - 3 * np.hypot(u[1:], u[:-1])
    return [
        f"{hue}: not monotone, {Y[i]:.4g} cd/m² at drive level {x[i]:g} falls to {Y[i + 1]:.4g} at drive level "
        f"{x[i + 1]:g}."
        for i in np.flatnonzero(sure)
    ]


def _clips(x: Real, Y: Real, u: Real, hue: str) -> list[str]:
    root = exponent_of(x, Y - Y[0])
    same = np.abs(Y[-1] - Y) <= 3 * np.hypot(u, u[-1])
    expected = Y[-1] * (1 - (x / x[-1]) ** root)
    clipped = np.flatnonzero(same & (expected > 10 * np.hypot(u, u[-1])))
    if not len(clipped):
        return []
    return [f"{hue}: clips, drive levels {x[clipped[0]]:g} to {x[-1]:g} all give {Y[-1]:.4g} cd/m²."]


def additivity_of(white: Node, primaries: Sequence[Node], black_cd_m2: float, u_black_cd_m2: float = 0.0) -> Additivity:
    """Compare the luminance of white with the sum of red, green and blue at the same code, black counted once."""
    total = sum(node.Y_cd_m2 for node in primaries) - 2 * black_cd_m2
    u_total2 = sum(node.u_cd_m2**2 for node in primaries) + (2 * u_black_cd_m2) ** 2
    ratio = white.Y_cd_m2 / total
    u = ratio * math.sqrt((white.u_cd_m2 / white.Y_cd_m2) ** 2 + u_total2 / total**2)
    additive = abs(ratio - 1) <= max(2 * u, ADDITIVE_WITHIN)
    meaning = (
        "the channels add"
        if additive
        else "the channels do not add, so mixed colours do not follow from the primaries and a matrix correction fails"
    )
    sentence = f"White gives {100 * ratio:.2f} % ± {100 * u:.2f} % of the sum of red, green and blue: {meaning}."
    return Additivity(ratio, u, white.code, additive, sentence)


def nodes_of(readings: ReadingTable) -> tuple[tuple[Node, ...], tuple[str, ...]]:
    """Average repeated readings of each hue and code; ``u`` from the noise model fitted to all repeats."""
    table = readings.usable()
    hues = table.patch.named(lambda key: PatchKey.parse(key).hue)
    codes = np.max([table.red, table.green, table.blue], axis=0) if len(table) else np.zeros(0)
    groups = [
        (hue, float(code), table.Y[(hues == hue) & (codes == code)])
        for hue in CHANNELS
        for code in np.unique(codes[hues == hue])
    ]
    repeated = [Y for _, _, Y in groups if len(Y) > 1]
    notes: tuple[str, ...] = ()
    try:
        noise = fit_noise([Y.mean() for Y in repeated], [Y.std(ddof=1) for Y in repeated], [len(Y) for Y in repeated])
    except ValueError:
        noise = ASSUMED_NOISE
        notes = ("Too few drive levels were read twice: the repeatability is assumed to be 0.2 % and 0.003 cd/m².",)
    made = tuple(
        Node(hue, code, float(Y.mean()), max(noise.sd(float(Y.mean())), 1e-6) / math.sqrt(len(Y)), len(Y))
        for hue, code, Y in groups
    )
    return made, notes


def fit_response(
    readings: ReadingTable, geometry_name: str, background: Codes = BLACK, *, purpose: str = "response"
) -> Response:
    """Fit the response to the readings of one geometry.

    Args:
        readings: Rows of any kind; those of the purpose and geometry are used (key ``group/place/hue/level/geometry``).
        geometry_name: Last part of the patch keys, such as ``w10``.
        background: Drive levels of the background those patches stood on.
        purpose: Which rows count.

    Raises:
        ValueError: Grey was not read at two usable codes or more.
    """
    named = readings.patch.named(lambda key: PatchKey.parse(key).geometry)
    table = readings.where((named == geometry_name) & (readings.purpose == purpose))
    nodes, notes = nodes_of(table)
    lit = float(np.median(table.lit_share)) if len(table) and np.isfinite(table.lit_share).any() else None
    curves, told = _curves(nodes)
    additivity = _additivity(nodes)
    return Response(
        basis=MEASURED,
        told=f"measured at {sum(node.hue == 'grey' for node in nodes)} greys in {geometry_name}",
        geometry=Geometry(geometry_name, background, lit),
        **curves,
        nodes=nodes,
        additivity=additivity,
        notes=notes + told,
    )


def _curves(nodes: Sequence[Node]) -> tuple[dict[str, Curve], tuple[str, ...]]:
    blacks = [node for node in nodes if node.code == 0]
    curves: dict[str, Curve] = {}
    notes: list[str] = []
    for hue in CHANNELS:
        own = [node for node in nodes if node.hue == hue and node.code > 0]
        if hue != "grey" and not own:
            continue
        # Black is the same light whichever hue it was asked for: all its readings count for every channel.
        points = [*_one_black(blacks), *own]
        curve, said = fit_curve([p.code for p in points], [p.Y_cd_m2 for p in points], [p.u_cd_m2 for p in points], hue)
        curves[hue] = curve
        notes += said
    missing = [hue for hue in CHANNELS if hue not in curves]
    if missing:
        shared = dict(zip(("red", "green", "blue"), split(curves["grey"], BT709_SHARES), strict=True))
        curves |= {hue: shared[hue] for hue in missing}
        notes.append(f"{', '.join(missing)}: not measured, taken as their usual share of white (ITU-R BT.709).")
    return curves, tuple(notes)


def _one_black(blacks: Sequence[Node]) -> list[Node]:
    if not blacks:
        return []
    n = sum(node.n for node in blacks)
    Y = sum(node.n * node.Y_cd_m2 for node in blacks) / n
    u = math.sqrt(sum((node.n * node.u_cd_m2) ** 2 for node in blacks)) / n
    return [Node("grey", 0.0, Y, u, n)]


def _additivity(nodes: Sequence[Node]) -> Additivity | None:
    by_hue = {hue: {node.code: node for node in nodes if node.hue == hue} for hue in CHANNELS}
    common = set.intersection(*(set(found) for found in by_hue.values())) - {0.0}
    if not common:
        return None
    code = max(common)
    black = _one_black([node for node in nodes if node.code == 0])
    level, u = (black[0].Y_cd_m2, black[0].u_cd_m2) if black else (0.0, 0.0)
    white, *primaries = (by_hue[hue][code] for hue in CHANNELS)
    if white.Y_cd_m2 <= 0 or sum(p.Y_cd_m2 for p in primaries) <= 2 * level:
        return None
    return additivity_of(white, primaries, level, u)
