"""What each kind of sub-pixel has kept, and whether that explains what white did."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.colorimetry.basic import uv_prime_of
from panelwear.colorimetry.cct import cct_duv
from panelwear.compare.changes import Step, VectorChange, joint, step_between
from panelwear.compare.channel_steps import AGAINST_OTHERS, HUES, channel_step, primaries
from panelwear.compare.differences import Comparability
from panelwear.compare.pairing import Pairing
from panelwear.compare.rates import loss_of
from panelwear.compare.verdict import p_of_vector
from panelwear.figures.evidence import Evidence
from panelwear.figures.formulas import temperature
from panelwear.figures.jointly import jointly
from panelwear.figures.means import Mean
from panelwear.figures.own_light import bases, net
from panelwear.figures.pick import preferred, white
from panelwear.telling.words import true_minus
from panelwear.uncertainty.coverage import expanded
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.formatting import rounded, with_uncertainty
from panelwear.uncertainty.propagate import COARSE_STEP, Function

Real = NDArray[np.float64]

_Both = tuple[tuple[Mean, ...], tuple[Mean, ...]]
"""Red, green, blue and white, then and now."""

FOURTH_AT_LEAST = 0.02
"""How far white must exceed the sum of its primaries before a fourth channel is taken for the reason."""


@dataclass(frozen=True, slots=True)
class Channel:
    """One kind of sub-pixel."""

    hue: str
    retention: Estimate
    """Luminance now over then, in %; the probe's session scale is in its uncertainty."""
    relative: Estimate
    """Against the mean of the other two, in %: a ratio inside each session, so the session scale has dropped out."""
    loss_per_1000_h: Estimate
    """Loss in % for every 1000 h of use between the two checkpoints."""


@dataclass(frozen=True, slots=True)
class Closure:
    """The white that the sub-pixels predict, less the one measured."""

    luminance: Estimate
    """In %."""
    du_prime: Estimate
    dv_prime: Estimate
    p: float
    """Of (Δu', Δv') against zero; small: three channels do not explain white."""
    predicted_cct_K: float
    measured_cct_K: float
    earlier_cct_K: float

    @property
    def closes(self) -> bool:
        """Whether prediction and measurement agree within their 99 % intervals, in luminance and in colour."""
        return self.p > 0.01 and abs(self.luminance.value) <= expanded(self.luminance, 0.99)


@dataclass(frozen=True, slots=True)
class SubPixels:
    """All channels of one pair of checkpoints."""

    channels: tuple[Channel, ...]
    fourth: Estimate | None
    """What white has beyond red + green + blue, now over then in %; where additivity says there is a fourth channel."""
    closure: Closure | None
    """``None`` without colour or a white beside the primaries, and between two probes."""
    shares_K: tuple[float, float, float] | None
    """What each channel's retention against that of the middle channel does by itself to white's CCT, in K."""
    most: str
    """The channel whose loss exceeds both others' taken by itself, or empty text where that cannot be told."""
    word: str
    """``most`` since the baseline, ``fastest`` since last time."""
    reason: str
    """What CCT of white did and why, taken by itself; empty where it did not move beyond its uncertainty."""
    over_cycle: bool = False
    """Whether a compensation cycle ran in between: losses are then those of wear and cycle together."""

    def sentences(self, verdicts: Mapping[str, str]) -> tuple[str, ...]:
        """Say what the channels did, never more than the change table does.

        Args:
            verdicts: of the change table by figure. A channel is named only where ``balance`` is changed, a reason for
                the step of CCT given only where ``white.cct`` is.
        """
        most = self.most if verdicts.get("balance") == "changed" else ""
        said = [_most_sentence(self.channels, most, self.word, self.over_cycle)]
        if self.fourth is not None:
            said.append(
                "White is more than red + green + blue: a fourth kind of sub-pixel helps; it kept "
                f"{with_uncertainty(self.fourth)}, as far as the three others are fully driven in white"
            )
        if self.closure is not None:
            said.append(_closure_sentence(self.closure, self.fourth is not None))
        if self.reason and verdicts.get("white.cct") == "changed":
            said.append(self.reason)
        return tuple(said)


def sub_pixels(
    pairing: Pairing,
    how: Comparability,
    hours: float,
    word: str = "most",
    *,
    hours_u: float = 0.0,
    no_rate: str = "",
    told_K: tuple[Estimate, float] | None = None,
) -> SubPixels | None:
    """Work out retention of the channels; ``None`` where the primaries do not pair.

    Args:
        pairing: both checkpoints, cut down to what they share.
        how: what cancels.
        hours: of use between the two.
        hours_u: their standard uncertainty, where they are estimated within a range.
        word: ``most`` since the baseline, ``fastest`` since last time.
        no_rate: why no loss for every 1000 h is given.
        told_K: step of white's CCT as the change table tells it and as the channels foretell it, where it is put
            together from both; by default white's own and that of the closure.
    """
    then, now = primaries(pairing.before), primaries(pairing.after)
    if not then or not now or [m.key for m in then] != [m.key for m in now] or how.barred("balance"):
        return None
    step = channel_step(pairing, how, then, now)
    if step is None:
        return None
    channels = tuple(
        _channel(step, i, hue, (math.nan if no_rate else hours, hours_u), no_rate) for i, hue in enumerate(HUES)
    )
    under = bases(pairing.before, pairing.after, (*then, *now))
    fourth = _fourth(pairing, how, then, now)
    whites = [white_beside(s, m) for s, m in ((pairing.before, then), (pairing.after, now))]
    closure, shares = None, None
    alike = how.mismatch == 0 and whites[0] is not None and whites[1] is not None and whites[0].key == whites[1].key
    if alike and whites[0] is not None and whites[1] is not None:
        patches: _Both = ((*then, whites[0]), (*now, whites[1]))
        if all(m.has_colour for side in patches for m in side):
            closure = _closure(pairing, how, patches, under)
            shares = _shares(_own(patches, under))
    reason = ""
    moved, foretold = told_K or (_cct_step(pairing, how), math.nan)
    if closure is not None and shares is not None and moved is not None:
        foretold = foretold if told_K else closure.predicted_cct_K - closure.earlier_cct_K
        reason = cct_sentence(moved, foretold, _against_the_middle(step), shares)
    return SubPixels(channels, fourth, closure, shares, _most(step), word, reason, how.cycle_between)


def _own(patches: _Both, under: tuple[Mean, Mean] | None) -> tuple[Real, Real]:
    """Return X, Y, Z of the patches of both sides, less what stands under them."""
    found = [np.stack([m.XYZ for m in side]) for side in patches]
    if under is not None:
        found = [XYZ - base.XYZ for XYZ, base in zip(found, under, strict=True)]
    return found[0], found[1]


def white_beside(evidence: Evidence, channels: Sequence[Mean]) -> Mean | None:
    """Return the grey of the same code and geometry as the primaries, the one read among them first."""
    level = (channels[0].code,) * 3
    same = [
        m for m in evidence.means if m.codes == level and m.geometry == channels[0].geometry and m.place == "centre"
    ]
    return next(iter(sorted(preferred(same), key=lambda m: m.purpose != "primary")), None)


def _channel(step: Step, i: int, hue: str, between: tuple[float, float], no_rate: str) -> Channel:
    kept = step.percent(i, f"{hue}.retention", f"{hue}, luminance kept")
    retention = _moved(kept, 100.0)
    relative = step.times(AGAINST_OTHERS).percent(i, f"{hue}.relative", f"{hue}, relative to the other two")
    return Channel(hue, retention, relative, loss_of(kept, hue, *between, no_rate))


def _moved(e: Estimate, by: float) -> Estimate:
    return Estimate(e.name, e.value + by, e.unit, e.u, e.dof, e.components, e.note, e.limit, e.caption)


def _against_the_middle(step: Step) -> list[Estimate]:
    """Return each channel's log retention less that of the middle channel, in %."""
    middle = int(np.argsort(step.values)[1])
    matrix = np.eye(len(HUES))
    matrix[:, middle] -= 1
    against = step.times(matrix)
    return [against.estimate(i, f"{hue}.against-middle", "%") for i, hue in enumerate(HUES)]


def _most(step: Step) -> str:
    """Return the channel that lost light, and more than both others (each beyond 95 %, Bonferroni over the two)."""
    worst = int(np.argmin(step.values))
    others = [i for i in range(len(HUES)) if i != worst]
    matrix = np.zeros((2, len(HUES)))
    for row, other in enumerate(others):
        matrix[row, worst], matrix[row, other] = -1, 1
    gaps = step.times(matrix)
    told = [gaps.estimate(i, "", "%") for i in range(2)]
    if not all(e.value > expanded(e, 0.975) for e in told):
        return ""
    # Less than the others is not yet a loss: a channel wears only where its own loss is shown too.
    own = step.estimate(worst, "", "%")
    return HUES[worst] if -own.value > expanded(own) else ""


def _most_sentence(channels: Sequence[Channel], most: str, word: str, over_cycle: bool) -> str:
    kept = ", ".join(f"{c.hue} {with_uncertainty(c.retention)}" for c in channels)
    if not most:
        return f"Which channel wears {word} cannot be told yet ({kept} of its luminance kept)"
    worst = next(c for c in channels if c.hue == most)
    loss = worst.loss_per_1000_h
    together = ", compensation cycle included" if over_cycle else ""
    pace = f"; {most} loses {with_uncertainty(loss)}{together}" if math.isfinite(loss.value) else ""
    return (
        f"{most.capitalize()} wears {word}: relative to the other two it changed by "
        f"{with_uncertainty(worst.relative, signed=True)} ({kept} of its luminance kept{pace})"
    )


def _fourth(pairing: Pairing, how: Comparability, then: Sequence[Mean], now: Sequence[Mean]) -> Estimate | None:
    whites = [white_beside(pairing.before, then), white_beside(pairing.after, now)]
    if whites[0] is None or whites[1] is None:
        return None
    patches: _Both = ((*then, whites[0]), (*now, whites[1]))
    under = bases(pairing.before, pairing.after, patches[0])
    excess = [XYZ[3, 1] / XYZ[:3, 1].sum() - 1 for XYZ in _own(patches, under)]
    if min(excess) < FOURTH_AT_LEAST:
        return None

    def kept(XYZ: Real) -> Real:
        extra = [XYZ[:, i + 3, 1] - XYZ[:, i : i + 3, 1].sum(axis=1) for i in (0, 4)]
        return np.asarray(100 * extra[1] / extra[0])[:, None]

    found = _of_both(pairing, how, patches, under, kept)
    return None if found is None else found.estimate(0, "white.retention", "%", "fourth sub-pixel, luminance kept")


def _of_both(
    pairing: Pairing, how: Comparability, patches: _Both, under: tuple[Mean, Mean] | None, function: Function
) -> Step | None:
    """Work out a function of the own light of four patches then and four now."""
    sides = ((pairing.before, patches[0]), (pairing.after, patches[1]))
    if under is None:
        return joint(sides, function, how.common)
    with_base = ((pairing.before, (*patches[0], under[0])), (pairing.after, (*patches[1], under[1])))
    return joint(with_base, net(function, len(patches[0]), len(patches[1])), how.common)


def predicted(XYZ: Real) -> Real:
    """Return the white that today's channels make, ``(m, 8, 3)`` to ``(m, 3)``.

    The earlier white is taken apart into its channels (W = a R + b G + c B); the same shares of today's channels are
    put together again. For channels that simply add, all shares are 1.
    """
    then = np.moveaxis(XYZ[:, 0:3], 1, 2)
    shares = np.linalg.solve(then, XYZ[:, 3, :, None])
    return np.asarray((np.moveaxis(XYZ[:, 4:7], 1, 2) @ shares)[:, :, 0])


def _closure(pairing: Pairing, how: Comparability, patches: _Both, under: tuple[Mean, Mean] | None) -> Closure | None:
    def gap(XYZ: Real) -> Real:
        made, real = predicted(XYZ), XYZ[:, 7]
        step = uv_prime_of(made) - uv_prime_of(real)
        return np.column_stack([100 * np.log(made[:, 1] / real[:, 1]), step])

    found = _of_both(pairing, how, patches, under, gap)
    if found is None:
        return None
    vector: VectorChange = found.times(np.eye(3)[1:]).vector()
    both = np.concatenate(_own(patches, under))[None]
    cct = [float(cct_duv(w)[0]) for w in (predicted(both)[0], both[0, 7], both[0, 3])]
    return Closure(
        found.percent(0, "closure.luminance", "predicted white less measured, luminance"),
        found.estimate(1, "closure.du_prime", "1", "predicted white less measured, Δu'"),
        found.estimate(2, "closure.dv_prime", "1", "predicted white less measured, Δv'"),
        p_of_vector(vector),
        cct[0],
        cct[1],
        cct[2],
    )


def _shares(own: tuple[Real, Real]) -> tuple[float, float, float] | None:
    """Return what each channel's step against the middle one, the others left as they were, does to CCT."""
    then, now = own
    start = float(cct_duv(then[3])[0])
    shares = np.linalg.solve(then[:3].T, then[3])
    # A loss common to all channels moves nothing. Against the middle one, a channel that went its way alone stands
    # alone; against the mean it would drag the other two along.
    kept = now[:3, 1] / then[:3, 1]
    kept = kept / np.median(kept)
    alone = []
    for i in range(3):
        channels = then[:3].copy()
        channels[i] *= kept[i]
        alone.append(float(cct_duv(channels.T @ shares)[0]) - start)
    return (alone[0], alone[1], alone[2]) if all(map(math.isfinite, alone)) else None


def _closure_sentence(closure: Closure, fourth: bool) -> str:
    colour = math.hypot(closure.du_prime.value, closure.dv_prime.value)
    said = f"luminance {with_uncertainty(closure.luminance, signed=True)}, Δu'v' {colour:.4f}"
    if closure.closes:
        return f"Red, green and blue explain the white that was measured (predicted less measured: {said})"
    more = "; with a fourth sub-pixel that is to be expected" if fourth else "; something beyond the three is at work"
    return f"Red, green and blue do not explain the white that was measured (predicted less measured: {said}){more}"


def _cct_step(pairing: Pairing, how: Comparability) -> Estimate | None:
    """Return what CCT of white did, in K."""
    sides = []
    for evidence in (pairing.before, pairing.after):
        mean = white(evidence)
        found = None if mean is None else jointly(evidence, [mean], lambda XYZ: temperature(XYZ)[:, :1], COARSE_STEP)
        if found is None:
            return None
        sides.append(found)
    return step_between(sides[0], sides[1], how.common).estimate(0, "white.cct", "K")


def cct_sentence(step: Estimate, foretold_K: float, relative: Sequence[Estimate], shares_K: Sequence[float]) -> str:
    """Say why CCT moved, only when the arithmetic says so; empty text when it did not move beyond its uncertainty.

    Needed: the channels foretell the step within its uncertainty, and those named each have its sign, a quarter of its
    size and a retention told apart from the middle channel's, and make up at least half of it together.

    Args:
        step: of CCT, in K.
        foretold_K: the step the three channels foretell together.
        relative: each channel against the middle one, in %; 0 for that one itself.
        shares_K: what each channel by itself does.
    """
    U = expanded(step)
    if abs(step.value) <= U:
        return ""
    told = f"CCT {'rose' if step.value > 0 else 'fell'} by {rounded(abs(step.value), U)} ± {rounded(U, U)} K"
    fits = abs(foretold_K - step.value) <= U and foretold_K * step.value > 0
    causes = [
        i
        for i, share in enumerate(shares_K)
        if share * step.value > 0
        and abs(share) >= 0.25 * abs(foretold_K)
        and abs(relative[i].value) > expanded(relative[i])
    ]
    if not fits or abs(sum(shares_K[i] for i in causes)) < 0.5 * abs(foretold_K):
        return f"{told}; the channels do not explain that beyond the uncertainty"
    whys = " and ".join(f"{HUES[i]} {'lost' if relative[i].value < 0 else 'kept'} more" for i in causes)
    others = " and ".join(hue for i, hue in enumerate(HUES) if i not in causes)
    parts = ", ".join(f"{hue} {true_minus(f'{share:+.0f}')} K" for hue, share in zip(HUES, shares_K, strict=True))
    return f"{told} because {whys} than {others} (each channel by itself: {parts})"
