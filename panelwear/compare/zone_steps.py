"""Zone against reference at two checkpoints: ratio of ratios, all levels and channels with their covariance."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from panelwear.colorimetry.basic import uv_prime_of
from panelwear.compare.changes import COMMON, Change, Moved, Reckoned, Step, reckon, step_between
from panelwear.compare.pairing import Pairing
from panelwear.figures.evidence import Evidence
from panelwear.figures.fillings import Filling
from panelwear.figures.means import Mean
from panelwear.figures.quadruples import Quadruple, quadruples
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.propagate import Source
from sequences.model import HUES

Real = NDArray[np.float64]


def contrasts(evidence: Evidence, listed: Sequence[Quadruple]) -> Reckoned | None:
    """Return q = 100 ln(L_zone / L_reference) of several quadruples with all they have in common; above 0: brighter.

    What an aperture that is not filled takes away is put back as in the figures of one checkpoint: a field's contrast
    is divided by the share its zone fills, a strip's ratio by the shares both strips fill.
    """
    means: list[Mean] = []
    seats: list[tuple[Quadruple, slice, slice]] = []
    for one in listed:
        start, k = len(means), len(one.own)
        means += [*one.own, *one.other]
        seats.append((one, slice(start, start + k), slice(start + k, start + 2 * k)))
    fillings = evidence.record.fillings

    def logs(XYZ: Real) -> Real:
        columns = [_whole(_log_ratio(XYZ[:, own, 1], XYZ[:, other, 1], one), fillings.get(one.zone))
                   for one, own, other in seats]  # fmt: skip
        return np.asarray(100 * np.stack(columns, axis=1))

    found = reckon(evidence, means, logs)
    if found is None:
        return None
    return replace(found, moved=(*found.moved, *_aperture(found.values, listed, fillings)))


def _log_ratio(own: Real, other: Real, one: Quadruple) -> Real:
    """Return ln(zone / reference): of means of logs, or for strips on either side of the zone of plain means."""
    beside = one.own[0].pattern == "strip" and one.own[0].place == one.other[0].place
    if beside:
        return np.asarray(np.log(own.mean(axis=1) / other.mean(axis=1)))
    return np.asarray(np.log(own).mean(axis=1) - np.log(other).mean(axis=1))


def _whole(log_ratio: Real, filling: Filling | None) -> Real:
    """Take out of a log ratio what comes from an aperture that is not filled."""
    if filling is None:
        return log_ratio
    if filling.strip_mm > 0:
        return np.asarray(log_ratio + math.log(filling.other / filling.own))
    return np.asarray(np.log1p(np.maximum(np.expm1(log_ratio) / filling.own, -0.999)))


def _aperture(values: Real, listed: Sequence[Quadruple], fillings: Mapping[str, Filling]) -> list[Moved]:
    """Return the uncertainty of how much of the aperture is filled: one deviate a zone, alike for all its colours."""
    found = []
    for zone in dict.fromkeys(one.zone for one in listed):
        filling = fillings.get(zone)
        if filling is None or filling.u_balance <= 0:
            continue
        away = -np.expm1(-values / 100) if filling.strip_mm == 0 else np.ones(len(values))
        mine = np.array([one.zone == zone for one in listed])
        # How wide the probe sees is the same at every checkpoint, where it lands is not.
        for name, u, note in (
            ("aperture", filling.u_diameter, "uniform disc, diameter within 2 %"),
            ("placement", filling.u_aside, "0.3 mm aside"),
        ):
            by = (100 * u * away * mine)[:, None]
            found.append(Moved(Source(name, by[:, None, :], note=note), by))
    return found


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
    tint: Step | None = None
    """(Δu', Δv') of the greys against the reference, mean over them, now less then; ``None`` without colour."""

    def grey(self) -> list[int]:
        """Return where the greys stand; where there are none, all colours."""
        found = [i for i, (hue, _) in enumerate(self.colours) if hue == "grey"]
        return found or list(range(len(self.colours)))

    def hues(self) -> tuple[str, ...]:
        """Return the hues read beside the greys; none where there are no greys to stand beside."""
        found = {hue for hue, _ in self.colours}
        return tuple(hue for hue in HUES if hue in found and hue != "grey") if "grey" in found else ()

    def mean_change(self, hue: str = "") -> Change:
        """Return the contrast's change in % (ratio of ratios less one), mean over a hue's levels; else the greys'."""
        chosen = [i for i, (own, _) in enumerate(self.colours) if own == hue] if hue else self.grey()
        weights = np.zeros((1, len(self.colours)))
        weights[0, chosen] = 1 / len(chosen)
        name = f"zone-hue/{self.zone}/{hue}" if hue else f"zone/{self.zone}"
        whose = f"its {hue} " if hue else ("its greys " if self.hues() else "")
        caption = f"{self.zone}, {whose}against its reference" if whose else f"{self.zone} against its reference"
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
                _tint_step(pairing, both, common),
            )
    return found


def _tint_step(pairing: Pairing, both: Sequence[tuple[Quadruple, Quadruple]], common: frozenset[str]) -> Step | None:
    greys = [pair for pair in both if pair[1].hue == "grey"]
    before = _tints(pairing.before, [a for a, _ in greys])
    after = _tints(pairing.after, [b for _, b in greys])
    return None if before is None or after is None else step_between(before, after, common)


def _tints(evidence: Evidence, listed: Sequence[Quadruple]) -> Reckoned | None:
    """Return (Δu', Δv') of a zone against its reference, mean over these quadruples."""
    means = [m for one in listed for m in (*one.own, *one.other)]
    if not means or not all(m.has_colour for m in means):
        return None
    sizes = [len(one.own) for one in listed]
    starts = [2 * sum(sizes[:i]) for i in range(len(sizes))]

    def tint(XYZ: Real) -> Real:
        away = [
            uv_prime_of(XYZ[:, i : i + k].mean(axis=1)) - uv_prime_of(XYZ[:, i + k : i + 2 * k].mean(axis=1))
            for i, k in zip(starts, sizes, strict=True)
        ]
        return np.asarray(np.mean(away, axis=0))

    return reckon(evidence, means, tint)


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
