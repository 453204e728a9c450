"""Zone contrast: each zone against its reference from Z R R Z, per channel and level.

In log ratios, q = [(ln Z1 - ln R1) - (ln R2 - ln Z2)] / 2, the drift-free difference of the NIST/SEMATECH e-Handbook
2.3.3.1.2; C = exp(q) - 1. Above 0 the zone is brighter than its reference: it has aged less.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from panelwear.colorimetry.basic import uv_prime_of
from panelwear.estimate import Estimate
from panelwear.figures.means import Mean
from panelwear.figures.session import Session, Told

ORDER = 100

Real = NDArray[np.float64]


def figures(session: Session) -> list[Estimate]:
    """Return ``zone/<zone>/<hue>/<level>.contrast`` in %, and for greys ``.du_prime`` and ``.dv_prime``."""
    found: list[Estimate] = []
    for zone, own, other in _pairs(session):
        if any(session.is_dark(m) for m in own + other):
            continue
        first = own[0]
        name = f"zone/{zone}/{first.hue}/{first.level}"
        said = f"{zone}, {first.hue} {first.level}"
        k = len(own)

        def contrast(XYZ: Real, k: int = k) -> Real:
            logs = np.log(XYZ[:, :, 1])
            return np.asarray(100 * np.expm1(logs[:, :k].mean(axis=1) - logs[:, k:].mean(axis=1)))

        def tint(XYZ: Real, k: int = k) -> Real:
            return uv_prime_of(XYZ[:, :k].mean(axis=1)) - uv_prime_of(XYZ[:, k:].mean(axis=1))

        told = Told(f"{name}.contrast", "%", f"{said}, contrast against its reference")
        found.append(session.estimate(told, own + other, contrast))
        if first.hue == "grey" and all(m.has_colour for m in own + other):
            parts = [Told(f"{name}.{part}", "1", f"{said}, {part[:2].replace('d', 'Δ')}'") for part in
                     ("du_prime", "dv_prime")]  # fmt: skip
            found += session.estimates(parts, own + other, tint)
    return found


def _pairs(session: Session) -> Iterator[tuple[str, list[Mean], list[Mean]]]:
    """Yield zone name, its own readings (positions 1 and 4) and its reference's (2 and 3), colour by colour."""
    table = session.table
    bound = np.flatnonzero(table.pair != "")
    seats: dict[tuple[str, str, str], dict[str, list[int]]] = {}
    for i in bound:
        zone, _, position = str(table.pair[i]).rpartition(".")
        _, _, hue, level, _ = (*str(table.patch[i]).split("/", 4), "", "", "", "", "")[:5]
        seats.setdefault((zone, hue, level), {}).setdefault(position, []).append(int(i))
    for (zone, _, _), by_position in seats.items():
        means = {p: session.mean_of_rows(np.isin(np.arange(len(table)), rows)) for p, rows in by_position.items()}
        own = [means[p] for p in ("1", "4") if p in means]
        other = [means[p] for p in ("2", "3") if p in means]
        # Half a quadruple still tells the contrast, only with its drift.
        if own and other and len(own) == len(other):
            yield zone, own, other
