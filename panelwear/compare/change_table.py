"""The change table: the named figures and all zones put to the test together, and what follows from each.

A figure that follows from another (colour temperature from the white point, one channel from the balance of all three)
stands under it and is only called changed when the one above it is: so it takes no share of the family's 5 %.

A zone is one figure of the family, tested over its greys and each of its hues, which share their placements and move
together (Simes). Where that is significant, Hochberg's procedure over them says which it was. A hue that stands out
while the greys do not gets a line under theirs.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from groundwork.once import once
from panelwear.colorimetry.basic import uv_prime_of
from panelwear.colorimetry.cct import cct_duv
from panelwear.compare.changes import (
    Change,
    Form,
    Step,
    VectorChange,
    added,
    as_ratio,
    between,
    step_between,
)
from panelwear.compare.channel_steps import AGAINST_OTHERS, HUES, channel_step, primaries
from panelwear.compare.differences import Comparability, Kind
from panelwear.compare.level_fit import level_fit
from panelwear.compare.pairing import Pairing
from panelwear.compare.verdict import Judged, hochberg, holm, judge, p_of, p_of_vector, simes
from panelwear.compare.white_step import white_step
from panelwear.compare.zone_steps import ZoneSteps, zone_steps
from panelwear.figures.each import additivity, gamma, uniformity
from panelwear.figures.evidence import Evidence, Told, missing
from panelwear.figures.formulas import luminance, temperature
from panelwear.figures.jointly import JointFigures, jointly, percent
from panelwear.figures.means import Mean
from panelwear.figures.own_light import own_light
from panelwear.figures.pick import black, level_words, white, words
from panelwear.uncertainty.estimate import Component, Estimate
from panelwear.uncertainty.propagate import COARSE_STEP, FINE_STEP

Real = NDArray[np.float64]

WORTH = {
    "luminance": 2.0,  # % – side by side, about 2 % is what a practised eye tells (TU Wien thesis, node 16)
    "white": 0.0022,  # Δu'v' – a two-step u'v' circle of CIE TN 001:2014, 0.0011 a step
    "cct_mired": 4.4,  # the same step along the locus: ±93 K at 6500 K twice, equal steps in mired at any white
    "duv": 0.0011,
    "channel": 1.0,  # %
    "additivity": 1.0,  # %
    "gamma": 0.03,
    "uniformity": 1.0,  # % – laboratory luminance discrimination
    "zone": 0.7,  # % – working threshold of a sharp-edged zone on a flat field, 0.5 to 0.9 %
}
"""Change worth knowing of; a bound above it leaves the verdict open. Common practice where no source is named."""


@dataclass(frozen=True, slots=True)
class JudgedChange:
    """One line of the change table."""

    change: Change
    judged: Judged
    kind: Kind
    under: str = ""
    """Name of the figure it follows from."""
    vector: VectorChange | None = None
    """The step itself where the figure is a distance in u', v'."""

    @property
    def name(self) -> str:
        """Stable key."""
        return self.change.name


@dataclass(frozen=True, slots=True)
class _Asked:
    """A figure before the family is judged."""

    change: Change
    p: float
    kind: Kind
    worth: float
    under: str = ""
    vector: VectorChange | None = None
    parts: tuple[_Asked, ...] = ()
    """What is tested together under this one name: the figure itself first."""


@dataclass(frozen=True, slots=True)
class _Wanted:
    """A figure of one checkpoint that is compared as it is."""

    figures: Callable[[Evidence], list[Estimate]]
    picks: Callable[[str], bool]
    form: Form
    kind: Kind
    worth: float


_WANTED = (
    _Wanted(additivity.figures, lambda name: name == "additivity", "ratio", "form", WORTH["additivity"]),
    _Wanted(gamma.figures, lambda name: name == "gamma", "difference", "form", WORTH["gamma"]),
)


def change_table(pairing: Pairing, how: Comparability, level: float = 0.95) -> tuple[JudgedChange, ...]:
    """Work out the change table of two paired checkpoints.

    Args:
        pairing: both, cut down to what they share.
        how: what cancels and what is barred.
        level: of the intervals; the family's chance of a false alarm is 1 - level.

    It is worked out once for one pairing and comparability.
    """
    return once(pairing.memo, ("change table", how, level), lambda: _change_table(pairing, how, level))


def _change_table(pairing: Pairing, how: Comparability, level: float) -> tuple[JudgedChange, ...]:
    asked = list(_asked(pairing, how))
    family = [a for a in asked if not a.under]
    rejected = dict(
        zip(
            (a.change.name for a in family),
            holm(
                [math.nan if how.barred(a.kind) else a.p for a in family],
                1 - level,
                [weight_of(a.kind) for a in family],
            ),
            strict=True,
        )
    )
    for parent in [name for name, real in rejected.items() if real]:
        below = [a for a in asked if a.under == parent]
        real = holm([a.p for a in below], 1 - level)
        rejected |= dict(zip((a.change.name for a in below), real, strict=True))
    for whole in [a for a in family if a.parts]:
        real = hochberg([p.p if rejected[whole.change.name] else math.nan for p in whole.parts], 1 - level)
        rejected |= dict(zip((p.change.name for p in whole.parts), real, strict=True))
    listed: list[_Asked] = []
    for one in asked:
        if one in family:
            listed += [one] if not one.parts else _standing_out(one.parts, rejected)
        elif one.under in {f.change.name for f in family}:
            listed.append(one)
    return tuple(_row(a, rejected.get(a.change.name, False), how, level) for a in listed)


def _standing_out(parts: Sequence[_Asked], rejected: Mapping[str, bool]) -> list[_Asked]:
    """Return the figure itself, and where it did not change those of its parts that did."""
    first, *others = parts
    return [first] if rejected[first.change.name] else [first, *(p for p in others if rejected[p.change.name])]


def weight_of(kind: Kind) -> float:
    """Return how much of the family's chance of a false alarm a kind of figure has, against others.

    What an inspection is made for (white, channels against each other, zones) has four times as much as what stands
    beside it (gamma, additivity, black): a choice, made once for all comparisons.
    """
    return 1.0 if kind in {"form", "black"} else 4.0


def verdicts_of(rows: Iterable[JudgedChange]) -> dict[str, str]:
    """Return the verdicts of a change table by figure."""
    return {row.name: row.judged.verdict for row in rows}


def _row(asked: _Asked, rejected: bool, how: Comparability, level: float) -> JudgedChange:
    judged = judge(asked.change.step, asked.p, rejected, worth=asked.worth, level=level, why=how.barred(asked.kind))
    return JudgedChange(asked.change, judged, asked.kind, asked.under, asked.vector)


def _asked(pairing: Pairing, how: Comparability) -> Iterator[_Asked]:
    yield from _white(pairing, how)
    yield from _balance(pairing, how)
    for wanted in _WANTED:
        yield from _figures(pairing, how, wanted)
    yield from _black(pairing, how)
    for zone in zone_steps(pairing, how.common).values():
        yield _zone(zone)
        yield from _zone_tint(zone)
        yield from _zone_level(zone)
    yield from itertools.islice(_left_right(pairing, how), 1)


def _white(pairing: Pairing, how: Comparability) -> Iterator[_Asked]:
    then, now = white(pairing.before), white(pairing.after)
    if then is None or now is None or then.key != now.key:
        return
    told = Told("white.Y", "cd/m²", f"white luminance ({level_words(now.level)}, {words(now)})")
    if then.key in pairing.fixed_codes():
        change = _scalar(pairing, how, then, now, _Scalar(told, luminance, ratio=True))
        yield _Asked(change, p_of(change.step), "luminance", WORTH["luminance"])
    if not (then.has_colour and now.has_colour) or pairing.before.is_dark(then) or pairing.after.is_dark(now):
        return
    both = white_step(pairing, how)
    together = both if both is not None and both.counts else None
    alone = lambda XYZ: uv_prime_of(XYZ[:, 0])  # noqa: E731
    step = _step(pairing, how, then, now, alone) if together is None else together.uv
    if step is None:
        return
    vector = step.vector()
    change = _distance(step, vector, "white.uv_prime", "white point, Δu'v'")
    yield _Asked(change, p_of_vector(vector), "colour", WORTH["white"], vector=vector)
    parts = (("cct", "K", "white: CCT", _cct_worth(then)), ("duv", "1", "white: Duv", WORTH["duv"]))
    for i, (part, unit, said, worth) in enumerate(parts):
        told = Told(f"white.{part}", unit, said)
        wanted = _Scalar(told, _part(i), numerical=COARSE_STEP)
        change = _scalar(pairing, how, then, now, wanted)
        if together is not None:
            change = replace(change, step=together.parts.estimate(i, told.name, unit, said))
        yield _Asked(change, p_of(change.step), "colour", worth, under="white.uv_prime")


def _cct_worth(white: Mean) -> float:
    """Return the step of colour temperature worth knowing of, in K: equal steps in mired at any white."""
    cct_K = float(cct_duv(white.XYZ)[0])
    return WORTH["cct_mired"] * cct_K**2 / 1e6 if math.isfinite(cct_K) else math.nan


def _distance(step: Step, vector: VectorChange, name: str, caption: str) -> Change:
    """Return Δu'v' as a change whose uncertainty is that along the step itself."""
    v = np.array(vector.values)
    size = float(np.linalg.norm(v))
    along = step.times((v / size if size > 0 else np.array([1.0, 0.0]))[None]).estimate(0, name, "1")
    widest = math.sqrt(float(np.linalg.eigvalsh(np.array(vector.covariance))[-1]))
    length = Estimate(name, size, "1", max(along.u, widest), along.dof, along.components, along.note, caption=caption)
    none = missing(Told(name, "1", caption), "")
    return Change(name, caption, none, none, length, step.cancelled)


def _balance(pairing: Pairing, how: Comparability) -> Iterator[_Asked]:
    sides = [primaries(s) for s in (pairing.before, pairing.after)]
    if not all(sides) or [m.key for m in sides[0]] != [m.key for m in sides[1]]:
        return
    step = channel_step(pairing, how, sides[0], sides[1])
    if step is None:
        return
    relative = step.times(AGAINST_OTHERS)
    vector = relative.times(np.eye(2, 3)).vector()
    largest = int(np.argmax(np.abs(relative.values)))
    caption = f"channel balance, largest shift: {HUES[largest]}"
    whole = relative.percent(largest, "balance", caption)
    none = missing(Told("balance", "%", caption), "")
    yield _Asked(Change("balance", caption, none, none, whole, step.cancelled), p_of_vector(vector), "balance",
                 WORTH["channel"], vector=vector)  # fmt: skip
    for i, hue in enumerate(HUES):
        said = f"{hue}, relative to the other two"
        one = relative.estimate(i, f"{hue}.relative", "%", said)
        change = Change(one.name, said, missing(Told(one.name, "%", said), ""), missing(Told(one.name, "%", said), ""),
                        percent(one), step.cancelled)  # fmt: skip
        yield _Asked(change, p_of(one), "balance", WORTH["channel"], under="balance")


def _figures(pairing: Pairing, how: Comparability, wanted: _Wanted) -> Iterator[_Asked]:
    both = (once(s.memo, wanted.figures, partial(wanted.figures, s)) for s in (pairing.before, pairing.after))
    sides = [{e.name: e for e in found if wanted.picks(e.name)} for found in both]
    for name in sides[1]:
        if name in sides[0]:
            change = between(sides[0][name], sides[1][name], wanted.form, how.common)
            if name == "additivity" and how.mismatch:
                # White and each channel have their own spectra, and the filters of both probes err on each.
                filters = Component("spectral mismatch", 100 * math.sqrt(2) * how.mismatch)
                change = added(change, [filters])
            yield _Asked(change, p_of(change.step), wanted.kind, wanted.worth)


def _left_right(pairing: Pairing, how: Comparability) -> Iterator[_Asked]:
    """Yield left half over right half at every level of the grid, greys near half drive first."""
    wanted = _Wanted(uniformity.left_right, lambda _: True, "difference", "zone", WORTH["uniformity"])
    yield from sorted(_figures(pairing, how, wanted), key=lambda a: _from_mid_grey(a.change.name))


def _from_mid_grey(name: str) -> tuple[bool, float]:
    _, hue, level = name.removesuffix(".left_right").split("/")
    code = level.removeprefix("c")
    return (hue != "grey", abs(float(code) - 128) if code.replace(".", "", 1).isdigit() else 128.0)


def _black(pairing: Pairing, how: Comparability) -> Iterator[_Asked]:
    then, now = black(pairing.before), black(pairing.after)
    if then is None or now is None or then.key != now.key:
        return
    change = _own_black(pairing, how, then, now)
    worth = 2 * max(pairing.before.floor_for(then), pairing.after.floor_for(now))
    yield _Asked(change, p_of(change.step), "black", worth)


def _own_black(pairing: Pairing, how: Comparability, then: Mean, now: Mean) -> Change:
    """Return the change of black's own light; a black that is only a bound is known no better than that."""
    told = Told("black", "cd/m²", "black")
    own = [own_light(s, m, told) for s, m in ((pairing.before, then), (pairing.after, now))]
    before, after = (one.estimate for one in own)
    bounds = [e.value for e in (before, after) if e.limit]
    if not bounds and all(one.taken_off is not None for one in own):
        return between(before, after, "difference", how.common)
    as_read = _scalar(pairing, how, then, now, _Scalar(told, luminance))
    if not bounds:
        # Room and probe can be taken off on both sides alike or on neither.
        return as_read
    # Between nothing and its bound it may be anything.
    unsure = [Component("below what the probe can tell", bound / math.sqrt(3), note="uniform") for bound in bounds]
    return replace(added(as_read, unsure), before=before, after=after)


def _zone(zone: ZoneSteps) -> _Asked:
    changes = [zone.mean_change(), *(zone.mean_change(hue) for hue in zone.hues())]
    first = changes[0].name
    parts = tuple(
        _Asked(c, p_of(c.step), "zone", WORTH["zone"], under=first if c.name != first else "") for c in changes
    )
    # Greys, which are read most, weigh as much as all hues together.
    p = simes([parts[0].p, simes([part.p for part in parts[1:]])])
    return _Asked(changes[0], p, "zone", WORTH["zone"], parts=parts)


def _zone_tint(zone: ZoneSteps) -> Iterator[_Asked]:
    if zone.tint is None:
        return
    vector = zone.tint.vector()
    change = _distance(zone.tint, vector, f"zone-tint/{zone.zone}", f"{zone.zone}: Δu'v' to reference")
    yield _Asked(change, p_of_vector(vector), "zone", WORTH["white"], under=f"zone/{zone.zone}", vector=vector)


def _zone_level(zone: ZoneSteps) -> Iterator[_Asked]:
    fit = level_fit(zone)
    if fit is not None:
        change = fit.darkest()
        yield _Asked(change, p_of(change.step), "zone", WORTH["zone"], under=f"zone/{zone.zone}")


def _step(pairing: Pairing, how: Comparability, then: Mean, now: Mean, function: Callable[[Real], Real]) -> Step | None:
    before, after = jointly(pairing.before, [then], function), jointly(pairing.after, [now], function)
    return None if before is None or after is None else step_between(before, after, how.common)


@dataclass(frozen=True, slots=True)
class _Scalar:
    """One number of one patch."""

    told: Told
    function: Callable[[Real], Real]
    """From ``(m, k, 3)`` to ``(m,)``."""
    ratio: bool = False
    numerical: float | None = None
    """Step of the numerical derivative, where the usual one is too fine."""

    def of(self, evidence: Evidence, mean: Mean) -> tuple[Estimate, JointFigures | None]:
        """Return it at one checkpoint, by itself and ready to be subtracted; once for all it is compared with."""
        return once(evidence.memo, (self.told, self.numerical, mean), lambda: self._of(evidence, mean))

    def _of(self, evidence: Evidence, mean: Mean) -> tuple[Estimate, JointFigures | None]:
        alone = lambda XYZ: np.asarray(self.function(XYZ))[:, None]  # noqa: E731
        both = as_ratio(self.function) if self.ratio else alone
        step = FINE_STEP if self.numerical is None else self.numerical
        return evidence.estimate(self.told, [mean], self.function), jointly(evidence, [mean], both, step)


def _scalar(pairing: Pairing, how: Comparability, then: Mean, now: Mean, wanted: _Scalar) -> Change:
    told = wanted.told
    before, found_before = wanted.of(pairing.before, then)
    after, found_after = wanted.of(pairing.after, now)
    step = None
    if found_before is not None and found_after is not None:
        step = step_between(found_before, found_after, how.common)
    unit = "%" if wanted.ratio else told.unit
    if step is None:
        none = missing(Told(told.name, unit, told.caption), "cannot be worked out from these readings")
        return Change(told.name, told.caption, before, after, none)
    one = step.estimate(0, told.name, unit, told.caption)
    return Change(told.name, told.caption, before, after, percent(one) if wanted.ratio else one, step.cancelled)


def _part(i: int) -> Callable[[Real], Real]:
    """Return CCT (0) or Duv (1) of the first patch as a function of its own."""
    return lambda XYZ: np.asarray(temperature(XYZ)[:, i])
