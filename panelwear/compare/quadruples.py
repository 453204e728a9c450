"""Zone against reference at two checkpoints: ratio of ratios, all levels and channels with their covariance."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from panelwear.compare.changes import COMMON, Change, Reckoned, Step, reckon, step_between
from panelwear.compare.pairing import Pairing
from panelwear.estimate import Estimate
from panelwear.figures.means import Mean
from panelwear.figures.session import Session

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Quadruple:
    """One colour of one zone: its own readings and its reference's, equally many of each."""

    zone: str
    hue: str
    level: str
    own: tuple[Mean, ...]
    other: tuple[Mean, ...]

    @property
    def key(self) -> tuple[str, str]:
        """Hue and level."""
        return (self.hue, self.level)

    @property
    def reference_cd_m2(self) -> float:
        """Luminance of the reference."""
        return float(np.mean([m.Y for m in self.other]))


def quadruples(session: Session) -> dict[str, tuple[Quadruple, ...]]:
    """Gather each zone's readings (positions 1 and 4) and its reference's (2 and 3), colour by colour.

    Colours too dark for the probe are left out; half a quadruple still counts, only with its drift.
    """
    table = session.table
    seats: dict[tuple[str, str, str], dict[str, list[int]]] = {}
    for i in np.flatnonzero(table.pair != ""):
        zone, _, position = str(table.pair[i]).rpartition(".")
        _, _, hue, level, _ = (*str(table.patch[i]).split("/", 4), "", "", "", "", "")[:5]
        seats.setdefault((zone, hue, level), {}).setdefault(position, []).append(int(i))
    found: dict[str, list[Quadruple]] = {}
    for (zone, hue, level), by_position in seats.items():
        means = {p: session.mean_of_rows(np.isin(np.arange(len(table)), rows)) for p, rows in by_position.items()}
        own = tuple(means[p] for p in ("1", "4") if p in means)
        other = tuple(means[p] for p in ("2", "3") if p in means)
        if own and len(own) == len(other) and not any(session.is_dark(m) for m in own + other):
            found.setdefault(zone, []).append(Quadruple(zone, hue, level, own, other))
    return {zone: tuple(listed) for zone, listed in found.items()}


def contrasts(session: Session, listed: Sequence[Quadruple]) -> Reckoned | None:
    """Return q = 100 ln(L_zone / L_reference) of several quadruples with all they have in common; above 0: brighter."""
    means: list[Mean] = []
    rows = []
    for one in listed:
        k = len(one.own)
        row = [(len(means) + i, 1 / k) for i in range(k)] + [(len(means) + k + i, -1 / k) for i in range(k)]
        means += [*one.own, *one.other]
        rows.append(row)
    weights = np.zeros((len(listed), len(means)))
    for i, row in enumerate(rows):
        for j, weight in row:
            weights[i, j] = weight
    return reckon(session, means, lambda XYZ: np.asarray(100 * np.log(XYZ[:, :, 1]) @ weights.T))


@dataclass(frozen=True, slots=True, eq=False)
class ZoneSteps:
    """What a zone's contrast against its reference did, for every colour both checkpoints read."""

    zone: str
    colours: tuple[tuple[str, str], ...]
    """Hue and level of each."""
    reference_cd_m2: tuple[float, ...]
    before: Reckoned
    """q = 100 ln(L_zone / L_reference) then."""
    after: Reckoned
    step: Step
    """q now less q then: the ratio of ratios, which the panel's own unevenness has dropped out of."""

    def grey(self) -> list[int]:
        """Return where the greys stand; where there are none, all colours."""
        found = [i for i, (hue, _) in enumerate(self.colours) if hue == "grey"]
        return found or list(range(len(self.colours)))

    def mean_change(self) -> Change:
        """Return the contrast's change, mean over the greys, in % (ratio of ratios less one)."""
        weights = np.zeros((1, len(self.colours)))
        weights[0, self.grey()] = 1 / len(self.grey())
        name = f"zone/{self.zone}"
        caption = f"{self.zone} against its reference"
        then, now = (percent(_one(r.times(weights), name, caption)) for r in (self.before, self.after))
        step = percent(self.step.times(weights).estimate(0, name, "%", caption))
        return Change(name, caption, then, now, step, self.step.cancelled)

    def change(self, i: int) -> Change:
        """Return the change of one colour in %."""
        hue, level = self.colours[i]
        name, caption = f"zone/{self.zone}/{hue}/{level}", f"{self.zone}, {hue} {level}"
        weights = np.eye(len(self.colours))[i : i + 1]
        then, now = (percent(_one(r.times(weights), name, caption)) for r in (self.before, self.after))
        return Change(name, caption, then, now, percent(self.step.estimate(i, name, "%", caption)), self.step.cancelled)


def zone_steps(pairing: Pairing, common: frozenset[str] = COMMON) -> Mapping[str, ZoneSteps]:
    """Return each zone both checkpoints read, in the order the later one read them."""
    then, now = quadruples(pairing.before), quadruples(pairing.after)
    found: dict[str, ZoneSteps] = {}
    for zone, listed in now.items():
        earlier = {q.key: q for q in then.get(zone, ())}
        both = [(earlier[q.key], q) for q in listed if q.key in earlier and len(earlier[q.key].own) == len(q.own)]
        if not both:
            continue
        before = contrasts(pairing.before, [a for a, _ in both])
        after = contrasts(pairing.after, [b for _, b in both])
        if before is not None and after is not None:
            found[zone] = ZoneSteps(
                zone,
                tuple(b.key for _, b in both),
                tuple(b.reference_cd_m2 for _, b in both),
                before,
                after,
                step_between(before, after, common),
            )
    return found


def _one(reckoned: Reckoned, name: str, caption: str) -> Estimate:
    return Step(reckoned.values, reckoned.moved, ()).estimate(0, name, "%", caption)


def percent(step: Estimate) -> Estimate:
    """Turn 100 ln of a ratio into the ratio less one in %."""
    scale = math.exp(step.value / 100)
    return replace(
        step,
        value=100 * (scale - 1),
        u=scale * step.u,
        components=tuple(replace(c, u=scale * c.u) for c in step.components),
    )
