"""``look --recheck``: the same zone matched again while the panel rests. Retention fades, wear stays."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from typing import Any

from panelwear.byeye import rest
from panelwear.byeye.look_session import LookSession
from panelwear.byeye.retention import RestedContrast, extrapolate
from panelwear.byeye.walk_fields import MatchTarget, WalkField
from panelwear.errors import Stopped, UsageError
from panelwear.folder.checkpoint import stamp
from panelwear.telling.words import counted

MINUTES = (0.0, 15.0, 30.0, 60.0)
SETTINGS = 6
"""Fewer than elsewhere, where none were asked for: the ghost must not change much while it is measured."""
LEAST = 3
"""Looks from which a verdict can be given."""
LATE_MIN = 10.0
"""A look that is due longer ago is left out where a recheck is gone on with; the last one waits for nobody."""
KEY = "recheck"
"""Of the session's record."""


@dataclass(frozen=True, slots=True)
class Recheck:
    """The looks at one zone, from the first moment on."""

    zone: str
    hue: str
    code: float
    began_utc: str
    looks: tuple[RestedContrast, ...] = ()
    """Each at the middle of its settings, in minutes since ``began_utc``."""
    done: tuple[float, ...] = ()
    """Minutes of ``MINUTES`` that were looked at, with a result or without."""
    interruptions: tuple[str, ...] = field(default=())
    """Moments at which it was gone on with: what the panel showed before is not known."""

    @property
    def began(self) -> datetime:
        """When the first look began."""
        return datetime.fromisoformat(self.began_utc).astimezone(UTC)

    def due(self, now: datetime) -> list[float]:
        """Return the looks still to come; one that is long past is left out, but for the last."""
        passed = (now - self.began).total_seconds() / 60
        left = [minutes for minutes in MINUTES if minutes > max(self.done, default=-1.0)]
        return [minutes for minutes in left if minutes + LATE_MIN >= passed or minutes == MINUTES[-1]]

    def times(self, minutes: Iterable[float]) -> str:
        """Say when looks are due, by the clock on the wall."""
        return ", ".join(f"{self.began.astimezone() + timedelta(minutes=one):%H:%M}" for one in minutes)


def unfinished(
    sessions: Iterable[Mapping[str, Any]], target: MatchTarget, at: WalkField, now: datetime
) -> Recheck | None:
    """Return the recheck of a zone and field that was broken off, while its last look is not past."""
    for session in reversed(list(sessions)):
        kept = session.get(KEY)
        if not isinstance(kept, Mapping) or kept.get("finished", True):
            continue
        if (kept.get("zone"), kept.get("hue"), kept.get("code")) != (target.name, at.hue, at.code):
            continue
        found = _from_record(kept)
        late = timedelta(minutes=MINUTES[-1] + LATE_MIN)
        return found if found is not None and found.began <= now <= found.began + late else None
    return None


def _from_record(kept: Mapping[str, Any]) -> Recheck | None:
    """Read a recheck as it was stored; ``None`` where a person has changed it into something else."""
    try:
        first = float(kept["first_min"])
        looks = zip(kept["minutes"], kept["contrast_percent"], kept["u_percent"], strict=True)
        return Recheck(
            str(kept["zone"]),
            str(kept["hue"]),
            float(kept["code"]),
            stamp(datetime.fromisoformat(kept["began_utc"])),
            tuple(RestedContrast(first + float(t), float(c) / 100, float(u) / 100) for t, c, u in looks),
            tuple(float(one) for one in kept["done_min"]),
            tuple(str(one) for one in kept.get("interruptions", ())),
        )
    except (KeyError, TypeError, ValueError):
        return None


def measure_retention(session: LookSession, target: MatchTarget, at: WalkField, settings: int | None = None) -> str:
    """Match a zone at 0, 15, 30 and 60 min on a resting panel and say what that means; each look is stored at once.

    One that was broken off at this checkpoint within the hour is gone on with.

    Args:
        session: Of the look.
        target: The zone.
        at: Field it is matched on.
        settings: Counted settings a look; ``None``: six.

    Raises:
        UsageError: fewer than three looks came to a result.
        Stopped: Escape; the looks so far are stored, and three of them give a verdict.
    """
    clock, operator = session.bench.clock, session.bench.operator
    session.matching.settings = settings or SETTINGS
    now = clock.utc()
    found = unfinished(session.job.checkpoint.record["sessions"], target, at, now)
    if found is None:
        found = Recheck(target.name, at.hue, at.code, stamp(now))
        operator.tell(f"{target.name}: looks at {found.times(MINUTES)}; the panel rests on a moving grey in between")
    else:
        found = replace(found, interruptions=(*found.interruptions, stamp(now)))
        operator.tell(
            f"{target.name}: going on with the recheck of {found.times((0.0,))}, "
            f"{counted(len(found.looks), 'look')} stored; next at {found.times(found.due(now))}"
        )
    try:
        for minutes in found.due(now):
            found = _looked(session, found, target, at, minutes)
            _keep(session, found)
    except Stopped:
        _keep(session, found)
        session.said.append(_stopped_words(session, found))
        raise
    return _keep(session, found, finished=True)


def _looked(session: LookSession, found: Recheck, target: MatchTarget, at: WalkField, minutes: float) -> Recheck:
    """Wait for one look and take it."""
    clock, operator = session.bench.clock, session.bench.operator
    wait_s = minutes * 60 - _passed_s(session, found)
    if wait_s > 0 and minutes:
        said = f"{target.name}: the panel rests, look at {found.times((minutes,))}"
        rest.rest(session.bench.screen, clock, clock.monotonic_s() + wait_s, said)
    operator.bell()
    began_s = _passed_s(session, found)
    stored = len(session.findings.matches)
    worn = [zone.rect for zone in session.job.panel.zones]
    operator.tell(session.measure(target, at, "adjustment", worn, after_min=minutes))
    found = replace(found, done=(*found.done, minutes))
    if len(session.findings.matches) == stored:
        return found
    row = session.findings.matches[-1]
    if row.contrast_percent is None or not row.u_percent:
        return found
    middle_min = (began_s + _passed_s(session, found)) / 120
    return replace(
        found, looks=(*found.looks, RestedContrast(middle_min, row.contrast_percent / 100, row.u_percent / 100))
    )


def _passed_s(session: LookSession, found: Recheck) -> float:
    return (session.bench.clock.utc() - found.began).total_seconds()


def _keep(session: LookSession, found: Recheck, *, finished: bool = False) -> str:
    """Store the looks, with a verdict where there are enough; returns its sentence, empty without one.

    Raises:
        UsageError: it is finished, and fewer than three looks came to a result.
    """
    first = found.looks[0].minutes if found.looks else 0.0
    since_first = [replace(look, minutes=look.minutes - first) for look in found.looks]
    record: dict[str, Any] = {
        "zone": found.zone,
        "hue": found.hue,
        "code": found.code,
        "began_utc": found.began_utc,
        "finished": finished,
        "done_min": list(found.done),
        "interruptions": list(found.interruptions),
        "first_min": round(first, 2),
        "minutes": [round(look.minutes, 2) for look in since_first],
        "contrast_percent": [look.contrast * 100 for look in found.looks],
        "u_percent": [look.u * 100 for look in found.looks],
    }
    sentence = ""
    if finished or len(since_first) >= LEAST:
        retention = extrapolate(since_first)
        sentence = f"{found.zone}: {retention.sentence}"
        if found.interruptions:
            often = "once" if len(found.interruptions) == 1 else f"{len(found.interruptions)} times"
            sentence += f" Interrupted {often}; what the panel showed then is not known."
        record |= {
            "lasting_percent": retention.lasting * 100,
            "u_lasting_percent": retention.u_lasting * 100,
            "passing_percent": retention.passing * 100,
            "u_passing_percent": retention.u_passing * 100,
            "tau_min": [retention.tau_low, retention.tau_minutes, retention.tau_high],
            "verdict": retention.verdict,
            "sentence": sentence,
        }
    session.job.checkpoint.session[KEY] = record
    session.job.checkpoint.save()
    if finished:
        session.said.append(sentence)
    return sentence


def _stopped_words(session: LookSession, found: Recheck) -> str:
    """Say what there is of a recheck that was broken off, and how to go on with it."""
    said = session.job.checkpoint.session[KEY].get("sentence", "")
    left = found.due(session.bench.clock.utc())
    command = f"panelwear look {session.job.panel.directory} --recheck --match {found.zone}"
    until = found.times((MINUTES[-1] + LATE_MIN,))
    stands = said or f"{found.zone}: {counted(len(found.looks), 'look')} stored, {LEAST} give a verdict"
    looks = f"{len(left)} {'look was' if len(left) == 1 else 'looks were'}"
    return f"{stands} Unfinished: {looks} still to come; '{command}' goes on until {until}."


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
