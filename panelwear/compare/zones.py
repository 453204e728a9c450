"""Zones: how far each has worn apart from its reference, what kind of wear it is, and whether it can be seen."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from panelwear.ageing.growth import Growth
from panelwear.byeye.retention import Extrapolation
from panelwear.byeye.visibility import ViewedZone, Visibility, visibility
from panelwear.compare.change_table import WORTH, JudgedChange, verdicts_of
from panelwear.compare.changes import Change
from panelwear.compare.eye import Contrast, EyeCheck, eye_checks, fading, marked, marks_on
from panelwear.compare.fading import Reread, rereads
from panelwear.compare.level_fit import LevelFit, level_fit
from panelwear.compare.mirror import Unbased, unbased
from panelwear.compare.trend import FigureHistory
from panelwear.compare.verdict import Judged, holm, judge, p_of
from panelwear.compare.zone_steps import ZoneSteps
from panelwear.figures.evidence import Evidence
from panelwear.figures.quadruples import Quadruple, quadruples
from panelwear.figures.zone_contrasts import contrasts
from panelwear.telling.words import enumerated
from panelwear.uncertainty.coverage import interval
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.formatting import up_to, with_uncertainty
from sequences.model import PanelFacts, Zone

SEEN_AT_CD_M2 = 100.0
"""Visibility is told at the grey level nearest to this."""


@dataclass(frozen=True, slots=True)
class ZoneColour:
    """One hue and level of a zone."""

    hue: str
    level: str
    reference_cd_m2: float
    change: Change
    """Ratio of ratios less one in %; ``before`` and ``after`` hold the contrasts themselves."""
    judged: Judged


@dataclass(frozen=True, slots=True)
class ZoneFinding:
    """Everything about one zone."""

    zone: str
    reference: str
    now: Estimate
    """Contrast as it is, in %, mean over the greys; above 0: brighter than its reference."""
    change: Change | None
    """Since the earlier checkpoint, the panel's own unevenness taken out; ``None`` without one."""
    judged: Judged | None
    """Of its greys, from the change table; ``None`` without a baseline."""
    hues: tuple[JudgedChange, ...]
    """Hues that changed while the greys did not, from the change table."""
    tint: JudgedChange | None
    """Δu'v' of its greys against the reference since the earlier checkpoint; ``None`` without colour or baseline."""
    colours: tuple[ZoneColour, ...]
    fit: LevelFit | None
    seen: Visibility | None
    fading: Extrapolation | None
    """Retention or burn-in, by the eye's matches after rest."""
    reread: Reread | None
    """The same by the instrument, where several sessions read the zone."""
    eye: tuple[EyeCheck, ...]
    marks: int
    """Marks of the by-eye check on this zone."""
    unbased: Unbased | None
    sentences: tuple[str, ...]
    seen_at: Contrast | None = None
    """Contrast on the one grey its visibility is told on; ``None`` without visibility."""

    @property
    def wore(self) -> tuple[Change, ...]:
        """What of the zone changed against its reference beyond the uncertainty: greys, or hues where these did not."""
        greys = self.judged is not None and self.judged.verdict == "changed" and self.change is not None
        return (self.change,) if greys and self.change is not None else tuple(row.change for row in self.hues)


def zone_findings(
    steps: Sequence[ZoneSteps],
    rows: Sequence[JudgedChange],
    after: Evidence,
    facts: PanelFacts | None,
    level: float = 0.95,
) -> tuple[ZoneFinding, ...]:
    """Say all about the zones both checkpoints read, and about those only the later one did.

    Args:
        steps: of the zones both read.
        rows: the change table, whose verdicts the zones follow.
        after: the later checkpoint.
        facts: of the panel, for size, distance and neighbours; without them nothing is said of visibility.
        level: of the intervals.
    """
    found = [_based(one, rows, after, facts, level) for one in steps]
    known = {one.zone for one in steps}
    return tuple(found) + zones_alone(after, facts, known)


def zones_alone(
    after: Evidence,
    facts: PanelFacts | None,
    known: set[str] | frozenset[str] = frozenset(),
    earlier: frozenset[str] = frozenset(),
) -> tuple[ZoneFinding, ...]:
    """Say what can be said of zones without a baseline.

    Args:
        after: the checkpoint that read them.
        facts: of the panel; without them nothing can be said.
        known: zones that are told elsewhere.
        earlier: zones that were read earlier too, in a way that does not compare.
    """
    if facts is None:
        return ()
    found = []
    for zone, listed in quadruples(after).items():
        if zone in known:
            continue
        greys = [q for q in listed if q.hue == "grey"] or list(listed)
        one = min(greys, key=lambda q: abs(math.log(q.reference_cd_m2 / SEEN_AT_CD_M2)))
        guess = unbased(after, one, facts, was_read=zone in earlier)
        joint = contrasts(after, [one])
        if guess is None or joint is None:
            continue
        now = joint.percent(0, f"zone/{zone}", zone)
        found.append(_finding(_Parts(zone, now, _contrasts(after, listed), one), after, facts, guess))
    return tuple(found)


def stands(zone: ZoneFinding, *, seen: bool = False) -> str:
    """Say what a zone's contrast is: "+3.57 ± 0.24 % now"; ``seen``: on the one grey its visibility is told on."""
    at = zone.seen_at
    if not seen or at is None:
        return f"{with_uncertainty(zone.now, signed=True)} now"
    return f"{with_uncertainty(at.percent, signed=True)} now on a {at.hue} of {at.reference_cd_m2:.3g} cd/m²"


def contrasts_over(zone: ZoneFinding, history: FigureHistory, *, seen: bool = False) -> tuple[Growth, ...]:
    """Return a zone's contrast at each checkpoint as it stood.

    A step since the baseline holds the uncertainty of both ends, so each end is given its half of the variance.

    Args:
        zone: as found at the newest checkpoint.
        history: ``zone/<zone>``, steps since the baseline in %, 0 there.
        seen: on the grey its visibility is told on, in place of the mean over all of them.
    """
    now = zone.seen_at.percent.value if seen and zone.seen_at is not None else zone.now.value
    ends = [p.u / math.sqrt(2) for p in history.points]
    baseline = min((u for u in ends if u > 0), default=0.0)
    last = history.points[-1].value
    return tuple(
        Growth(p.hours, now + p.value - last, u or baseline, p.segment, p.hours_u)
        for p, u in zip(history.points, ends, strict=True)
    )


@dataclass(frozen=True, slots=True)
class _Parts:
    """What every finding begins with."""

    zone: str
    now: Estimate
    contrasts: tuple[Contrast, ...]
    shown: Quadruple | None


def _contrasts(after: Evidence, listed: Sequence[Quadruple]) -> tuple[Contrast, ...]:
    joint = contrasts(after, listed)
    if joint is None:
        return ()
    return tuple(Contrast(q.hue, q.level, q.reference_cd_m2, joint.percent(i, "")) for i, q in enumerate(listed))


def _based(
    steps: ZoneSteps, rows: Sequence[JudgedChange], after: Evidence, facts: PanelFacts | None, level: float
) -> ZoneFinding:
    name = f"zone/{steps.zone}"
    judged = next((row.judged for row in rows if row.name == name), None)
    tint = next((row for row in rows if row.name == f"zone-tint/{steps.zone}"), None)
    hues = tuple(row for row in rows if row.under == name and row.name.startswith("zone-hue/"))
    change = steps.mean_change()
    changes = [steps.change(i) for i in range(len(steps.colours))]
    ps = [p_of(c.step) for c in changes]
    # A colour of a zone is only called changed when the zone as a whole is, or its hue.
    whole = judged is not None and judged.verdict == "changed"
    names = {row.name.rpartition("/")[2] for row in hues}
    asked = [p if whole or hue in names else math.nan for p, (hue, _) in zip(ps, steps.colours, strict=True)]
    real = holm(asked, 1 - level)
    colours = tuple(
        ZoneColour(hue, lv, L, c, judge(c.step, p, told, worth=WORTH["zone"], level=level))
        for (hue, lv), L, c, p, told in zip(steps.colours, steps.reference_cd_m2, changes, ps, real, strict=True)
    )
    now = tuple(Contrast(c.hue, c.level, c.reference_cd_m2, c.change.after) for c in colours)
    listed = quadruples(after).get(steps.zone, ())
    greys = [q for q in listed if q.hue == "grey"] or list(listed)
    shown = min(greys, key=lambda q: abs(math.log(q.reference_cd_m2 / SEEN_AT_CD_M2)), default=None)
    begun = _finding(_Parts(steps.zone, change.after, now, shown), after, facts, None)
    fit = level_fit(steps)
    of_level = verdicts_of(rows).get(f"zone-level/{steps.zone}", "")
    said = [_meaning(steps, change, judged, hues), *([fit.sentence(of_level)] if fit else []), *begun.sentences]
    return replace(
        begun, change=change, judged=judged, hues=hues, tint=tint, colours=colours, fit=fit, sentences=tuple(said)
    )


def _finding(parts: _Parts, after: Evidence, facts: PanelFacts | None, guess: Unbased | None) -> ZoneFinding:
    zone = next((z for z in facts.zones if z.name == parts.zone), None) if facts is not None else None
    seen_at = _seen_at(parts)
    seen = _seen(seen_at, zone, facts)
    matches, marks = after.record.matches, after.record.marks
    on_it = marks_on(zone.rect, zone.name, marks) if zone is not None else []
    faded = fading(parts.zone, matches)
    again = rereads(after, parts.zone)
    checks = eye_checks(parts.zone, matches, parts.contrasts)
    said = [guess.sentence] if guess is not None else []
    said += [_visible(parts, seen)] if seen is not None else []
    said += [faded.sentence] if faded is not None else []
    said += [again.sentence] if again is not None else []
    said += [check.sentence for check in checks]
    if on_it:
        said.append(marked(on_it) + _fits_the_index(seen))
    return ZoneFinding(
        zone=parts.zone,
        reference=zone.reference if zone is not None else "",
        now=parts.now,
        change=None,
        judged=None,
        hues=(),
        tint=None,
        colours=(),
        fit=None,
        seen=seen,
        fading=faded,
        reread=again,
        eye=tuple(checks),
        marks=len(on_it),
        unbased=guess,
        sentences=tuple(said),
        seen_at=seen_at if seen is not None else None,
    )


def _seen_at(parts: _Parts) -> Contrast | None:
    shown = parts.shown
    if shown is None:
        return None
    percent = next((c.percent for c in parts.contrasts if (c.hue, c.level) == shown.key), parts.now)
    return Contrast(shown.hue, shown.level, shown.reference_cd_m2, percent)


def _seen(at: Contrast | None, zone: Zone | None, facts: PanelFacts | None) -> Visibility | None:
    if zone is None or facts is None or at is None or not math.isfinite(at.percent.value):
        return None
    wide, high = (facts.active_area_mm[0] / facts.width_px, facts.active_area_mm[1] / facts.height_px)
    how = ViewedZone(zone.rect.w * wide, zone.rect.h * high, at.reference_cd_m2, facts.distance_mm)
    low, up = interval(at.percent)
    return visibility(at.percent.value / 100, how, (low / 100, up / 100))


def _meaning(steps: ZoneSteps, change: Change, judged: Judged | None, hues: Sequence[JudgedChange]) -> str:
    zone = steps.zone
    told = with_uncertainty(change.step, signed=True)
    if judged is None:
        return f"{zone}: contrast to reference {told}; no verdict"
    if judged.verdict == "changed":
        return f"{zone} {_turned(change)}: {_aged(change)}"
    greys = _greys(judged, told, "grey" if steps.hues() else "")
    if hues:
        parts = [
            f"its {row.name.rpartition('/')[2]} {_turned(row.change)}: that channel {_aged(row.change)[3:]}"
            for row in hues
        ]
        return f"{zone}: {' and '.join(parts)}; {greys}"
    none = (
        f"; nor does {enumerated(steps.hues(), 'or')} stand out beyond the uncertainty"
        if steps.hues() and not judged.why
        else ""
    )
    return f"{zone}: {greys}{none}"


def _turned(change: Change) -> str:
    size = with_uncertainty(replace(change.step, value=abs(change.step.value)))
    return f"turned {'brighter' if change.step.value > 0 else 'darker'} than its reference by {size}"


def _aged(change: Change) -> str:
    return "it aged less (inverse burn-in)" if change.step.value > 0 else "it aged more (burn-in)"


def _greys(judged: Judged, told: str, whose: str) -> str:
    what = f"{whose} contrast to reference" if whose else "contrast to reference"
    if judged.verdict == "undecided":
        why = f", {judged.why}" if judged.why else ""
        return f"{what} undecided, {told}{why}"
    return f"{what}: no change larger than {up_to(judged.bound, '%')}"


def _visible(parts: _Parts, seen: Visibility) -> str:
    return (
        f"Now ({with_uncertainty(parts.now, signed=True)}) it is {seen.word_range}: "
        f"visibility index {seen.index:.1f} ({seen.low:.1f} to {seen.high:.1f}; "
        f"{seen.assumptions}; model uncertainty ± 30 %); SEMI D31 index (Semu) {seen.semu:.1f}"
    )


def _fits_the_index(seen: Visibility | None) -> str:
    if seen is None:
        return ""
    if seen.high < 0.7:
        return "; by the instrument it should be invisible, so look again at what was marked"
    return "; the instrument's contrast is large enough for that" if seen.low >= 0.7 else ""
