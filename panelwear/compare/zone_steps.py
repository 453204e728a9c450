"""Zone against reference at two checkpoints: ratio of ratios, all levels and channels with their covariance."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from groundwork.once import once
from panelwear.compare.changes import COMMON, Change, Step, step_between
from panelwear.compare.pairing import Pairing
from panelwear.figures.jointly import JointFigures
from panelwear.figures.pick import level_words
from panelwear.figures.quadruples import Quadruple, quadruples
from panelwear.figures.zone_contrasts import contrasts, tints
from sequences.model import HUES

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class ZoneSteps:
    """What a zone's contrast against its reference did, for every colour both checkpoints read."""

    zone: str
    colours: tuple[tuple[str, str], ...]
    """Hue and level of each."""
    reference_cd_m2: tuple[float, ...]
    before: JointFigures
    """q = 100 ln(L_zone / L_reference) then."""
    after: JointFigures
    step: Step
    """q now less q then: the ratio of ratios, which the panel's own unevenness has dropped out of."""
    tint: Step | None = None
    """(Δu', Δv') of the greys against the reference, mean over them, now less then; ``None`` without colour."""
    memo: dict[Any, Any] = field(default_factory=dict, init=False)
    """What was worked out from these very steps, so that it is worked out once."""

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
        return once(self.memo, ("mean change", hue), lambda: self._mean_change(hue))

    def _mean_change(self, hue: str) -> Change:
        chosen = [i for i, (own, _) in enumerate(self.colours) if own == hue] if hue else self.grey()
        weights = np.zeros((1, len(self.colours)))
        weights[0, chosen] = 1 / len(chosen)
        name = f"zone-hue/{self.zone}/{hue}" if hue else f"zone/{self.zone}"
        whose = hue or ("grey" if self.hues() else "")
        caption = f"{self.zone}: {f'{whose} ' if whose else ''}contrast to reference"
        then, now = (r.times(weights).percent(0, name, caption) for r in (self.before, self.after))
        step = self.step.times(weights).percent(0, name, caption)
        return Change(name, caption, then, now, step, self.step.cancelled)

    def change(self, i: int) -> Change:
        """Return the change of one colour in %."""
        hue, level = self.colours[i]
        name, caption = f"zone/{self.zone}/{hue}/{level}", f"{self.zone}: {hue} at {level_words(level)}"
        then, now = (r.percent(i, name, caption) for r in (self.before, self.after))
        return Change(name, caption, then, now, self.step.percent(i, name, caption), self.step.cancelled)


def zone_steps(pairing: Pairing, common: frozenset[str] = COMMON) -> Mapping[str, ZoneSteps]:
    """Return each zone both checkpoints read, in the order the later one read them; once for one pairing."""
    return once(pairing.memo, ("zone steps", common), lambda: _zone_steps(pairing, common))


def _zone_steps(pairing: Pairing, common: frozenset[str]) -> Mapping[str, ZoneSteps]:
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
    before = tints(pairing.before, [a for a, _ in greys])
    after = tints(pairing.after, [b for _, b in greys])
    return None if before is None or after is None else step_between(before, after, common)
