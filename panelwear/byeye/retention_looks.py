"""``look --recheck``: the same zone matched again while the panel rests. Retention fades, wear stays."""

from __future__ import annotations

from panelwear.byeye import rest
from panelwear.byeye.look_session import LookSession
from panelwear.byeye.retention import RestedContrast, extrapolate
from panelwear.byeye.walk_fields import MatchTarget, WalkField
from panelwear.errors import UsageError

MINUTES = (0.0, 15.0, 30.0, 60.0)
SETTINGS = 6
"""Fewer than elsewhere: the ghost must not change much while it is measured."""


def measure_retention(session: LookSession, target: MatchTarget, field: WalkField) -> str:
    """Match a zone at 0, 15, 30 and 60 min on a resting panel and say what that means; stored with the session.

    Each look is timed at the middle of its settings, in minutes since the middle of the first.

    Raises:
        UsageError: fewer than three looks came to a result.
        Stopped: Escape; the looks so far are stored.
    """
    clock, screen = session.bench.clock, session.bench.screen
    session.matching.settings = SETTINGS
    worn = [zone.rect for zone in session.job.panel.zones]
    began_s = clock.monotonic_s()
    origin_min: float | None = None
    looks: list[RestedContrast] = []
    for due in MINUTES:
        if due:
            rest.rest(screen, clock, began_s + due * 60, f"{target.name}: the panel rests")
        session.bench.operator.bell()
        look_began_s = clock.monotonic_s()
        stored = len(session.findings.matches)
        session.bench.operator.tell(session.measure(target, field, "adjustment", worn, after_min=due))
        if len(session.findings.matches) == stored:
            continue
        middle_min = (look_began_s + clock.monotonic_s() - 2 * began_s) / 120
        origin_min = middle_min if origin_min is None else origin_min
        row = session.findings.matches[-1]
        if row.contrast_percent is not None and row.u_percent:
            looks.append(RestedContrast(middle_min - origin_min, row.contrast_percent / 100, row.u_percent / 100))
    retention = extrapolate(looks)
    sentence = f"{target.name}: {retention.sentence}"
    session.job.checkpoint.session["recheck"] = {
        "zone": target.name,
        "hue": field.hue,
        "code": field.code,
        "minutes": [round(look.minutes, 2) for look in looks],
        "contrast_percent": [look.contrast * 100 for look in looks],
        "u_percent": [look.u * 100 for look in looks],
        "lasting_percent": retention.lasting * 100,
        "u_lasting_percent": retention.u_lasting * 100,
        "passing_percent": retention.passing * 100,
        "u_passing_percent": retention.u_passing * 100,
        "tau_min": [retention.tau_low, retention.tau_minutes, retention.tau_high],
        "verdict": retention.verdict,
        "sentence": sentence,
    }
    session.job.checkpoint.save()
    session.said.append(sentence)
    return sentence


def choose_target(session: LookSession, wanted: str | None) -> MatchTarget:
    """Return the zone or mark by its name, or else the one of the strongest match of this checkpoint.

    Raises:
        UsageError: no such zone, or nothing to choose from.
    """
    zones = {zone.name: MatchTarget(zone.name, zone.rect) for zone in session.job.panel.zones}
    marks = {mark.name: MatchTarget(mark.name, mark.rect) for mark in session.findings.all_marks}
    known = {**marks, **zones}
    if wanted is not None:
        if wanted not in known:
            raise UsageError(f"there is no zone or mark '{wanted}'; there are {', '.join(known) or 'none yet'}")
        return known[wanted]
    matches = [n for n in session.findings.matches if n.contrast_percent is not None and n.zone in known]
    if matches:
        return known[max(matches, key=lambda n: abs(n.contrast_percent or 0.0)).zone]
    if len(known) == 1:
        return next(iter(known.values()))
    raise UsageError(f"say which zone with --match ZONE; there are {', '.join(known) or 'none yet: mark one first'}")


def flat_field(hue: str, code: float) -> WalkField:
    """Return a flat field to match on."""
    return WalkField(f"{hue}/c{code:g}", hue, code)
