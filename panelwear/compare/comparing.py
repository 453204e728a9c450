"""All checkpoints of a panel in one call: what changed since the baseline and since last time, and how sure that is.

Pure functions over reading tables: any number of panels can go through them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from panelwear.compare.all_figures import codes_needed, every_change
from panelwear.compare.change_table import JudgedChange, change_table
from panelwear.compare.comparison import NO_RATE, Comparison, End, Pair, hours_between, too_wide
from panelwear.compare.deciding import deciding
from panelwear.compare.differences import Comparability, compare_circumstances
from panelwear.compare.lost_placements import lost_between, lost_placements, zones_read
from panelwear.compare.no_light import without_light
from panelwear.compare.pairing import Pairing, paired
from panelwear.compare.sentences import verdict_of
from panelwear.compare.subpixels import sub_pixels
from panelwear.compare.suspicion import suspicions
from panelwear.compare.trend import trend_of
from panelwear.compare.unread_zones import unread_zones
from panelwear.compare.white_step import white_step
from panelwear.compare.zone_steps import zone_steps
from panelwear.compare.zones import ZoneFinding, zone_findings, zones_alone
from panelwear.errors import UsageError
from panelwear.figures.evidence import Evidence, put_together
from panelwear.folder.falling_hours import Fall, falling_hours
from panelwear.folder.overlapping_hours import overlapping_hours
from panelwear.readings.matches import MatchResult
from panelwear.telling.words import with_capital
from panelwear.uncertainty.formatting import stated_at, with_uncertainty
from sequences.model import PanelFacts


@dataclass(frozen=True, slots=True)
class _Wish:
    facts: PanelFacts | None
    level: float
    every_figure: bool
    fallen: frozenset[str]
    """Checkpoints whose hours cannot be relied on."""
    verdicts_only: bool = False


def comparison_of(
    checkpoints: Sequence[Evidence],
    *,
    panel: str = "",
    since: str | None = None,
    until: str | None = None,
    level: float = 0.95,
    facts: PanelFacts | None = None,
    every_figure: bool = False,
    without_baseline: str = "",
    verdicts_only: bool = False,
) -> Comparison:
    """Compare the checkpoints of one panel.

    Checkpoints that hold only what the eye found are no end of a pair: their marks and matches stand beside the newest
    readings there were by then.

    Args:
        checkpoints: in any order; they are put in the order of their hours.
        panel: its name.
        since: name of the earlier checkpoint; by default both the baseline and the last but one.
        until: name of the later one; by default the newest with readings.
        level: of intervals; 1 - level is the family's chance of a false alarm.
        facts: of the panel: sizes, viewing distance, zones.
        every_figure: work out the change of every figure too (a second or two more).
        without_baseline: why the baseline is not among the checkpoints; nothing is then said since it, and the first
            of those that are does not take its place.
        verdicts_only: leave out what no verdict rests on: trend, what would decide, levels needed, zones last time.

    Raises:
        UsageError: no checkpoint, or a name that is not there or has no readings.
    """
    if all(c.is_empty for c in checkpoints):
        raise UsageError("there is no checkpoint with readings; 'panelwear inspect' makes the first one")
    read, unread, notes = _split(put_together([c for c in checkpoints if not c.is_empty]))
    for name in (since, until):
        if name in {e.name for e in unread}:
            raise UsageError(f"'{name}' holds no readings to compare; {_there_are(read)}")
    if not read:
        ends = tuple(_end(s) for s in unread)
        return Comparison(panel, level, ends, (), (), (), without_light(unread) or (NOTHING_READ,))
    last = _index(read, until, len(read) - 1)
    ends = tuple(_end(r) for r in read[: last + 1])
    falls = falling_hours(map(_end, read))
    wish = _Wish(facts, level, every_figure, frozenset(n for f in falls for n in (f.earlier, f.later)), verdicts_only)
    with stated_at(level):
        pairs = tuple(
            _pair(name, read[first], read[last], wish, notes.get(read[last].name, ()))
            for name, first in _wanted(read, since, last, bool(without_baseline))
        )
        by_then = [s for s in unread if until is None or s.hours <= read[last].hours]
        first = (*without_light((*read[: last + 1], *by_then)), *_order_of_hours(falls, ends, pairs))
        never = unread_zones(read, facts)
        if not pairs:
            told = (*first, *((without_baseline,) if without_baseline else _first(read)))
            bare = Comparison(panel, level, ends, (), (), (), told, bool(falls), unread_zones=never)
            return _with_zones(bare, read[last], facts, notes.get(read[last].name, ()))
        trend = () if without_baseline or verdicts_only else trend_of(read[: last + 1], level)
        told = (*((without_baseline,) if without_baseline else ()), *first, *verdict_of(pairs, facts))
        return Comparison(panel, level, ends, pairs, trend, (), told, bool(falls), unread_zones=never)


def _with_zones(bare: Comparison, newest: Evidence, facts: PanelFacts | None, beside: tuple[str, ...]) -> Comparison:
    """Say, where there are no pairs, the contrasts of the newest checkpoint's zones as they stand."""
    alone = zones_alone(newest, facts)
    more = (*_each(alone, bare.level), *lost_placements(newest).values(), *beside)
    return replace(bare, zones_alone=alone, sentences=(*bare.sentences, *more))


def _split(
    checkpoints: Sequence[Evidence],
) -> tuple[tuple[Evidence, ...], tuple[Evidence, ...], dict[str, tuple[str, ...]]]:
    """Part checkpoints with readings from those that hold only what the eye found, in the order given.

    Marks and matches of the latter go to the newest readings there were by then (to the first, where none were).

    Returns:
        Checkpoints with readings, those without, and by name of the former what came to them from where, in words.
    """
    read = [s for s in checkpoints if len(s.raw)]
    unread = tuple(s for s in checkpoints if not len(s.raw))
    notes: dict[str, tuple[str, ...]] = {}
    for one in unread if read else ():
        by_then = [i for i, s in enumerate(read) if s.hours <= one.hours]
        at = by_then[-1] if by_then else 0
        there, name = read[at].name, one.name
        said = f"'{name}' holds no {'usable ' if one.left_out else ''}readings and is not compared"
        if one.record.marks or one.record.matches:
            said += f"; what the eye found there stands beside the readings of '{there}'"
            seen = read[at].record
            matches = _newer_looks(seen.matches, one.record.matches)
            read[at] = replace(read[at], record=replace(seen, marks=seen.marks + one.record.marks, matches=matches))
        notes[there] = (*notes.get(there, ()), f"{said}.")
    return tuple(read), unread, notes


def _newer_looks(old: tuple[MatchResult, ...], new: tuple[MatchResult, ...]) -> tuple[MatchResult, ...]:
    """Join matches; looks after rest are one evening's, so a zone's newer ones take the place of its older ones."""
    again = {n.zone for n in new if n.after_min is not None}
    return tuple(n for n in old if n.after_min is None or n.zone not in again) + new


NOTHING_READ = "Nothing was read with a probe yet, so nothing can be compared; 'panelwear inspect' reads the panel."


def _first(read: Sequence[Evidence]) -> tuple[str, ...]:
    """Say why the baseline alone tells no change."""
    baseline = f"{read[0].name} ({read[0].circumstances.use.words} of use)".strip()
    if len(read) == 1:
        return (f"There is one checkpoint, the baseline {baseline}: nothing can have changed yet.",)
    return (f"{baseline} is the baseline, the first of {len(read)} checkpoints: there is no earlier one to compare.",)


def _order_of_hours(falls: Sequence[Fall], ends: Sequence[End], pairs: Sequence[Pair]) -> tuple[str, ...]:
    """Say which checkpoints' hours fall, and which overlap; pairs tell the latter as what differed."""
    told = {(pair.before.name, pair.after.name) for pair in pairs}
    overlaps = [one.sentence for one in overlapping_hours(ends) if (one.earlier, one.later) not in told]
    return tuple(f"{said}." for said in (*(fall.sentence for fall in falls), *overlaps))


def _each(alone: Sequence[ZoneFinding], level: float) -> tuple[str, ...]:
    """Say the contrasts of zones as they stand, a line a zone."""
    said = []
    for zone in alone:
        against = f"'{zone.reference}'" if zone.reference else "its reference"
        stands = f"{zone.zone}: {with_uncertainty(zone.now, level, signed=True)} against {against} as it stands"
        more = [s.removeprefix(f"{zone.zone}: ").rstrip(".") for s in zone.sentences]
        said.append(". ".join([stands, *map(with_capital, more)]) + ".")
    return tuple(said)


def _there_are(read: Sequence[Evidence]) -> str:
    return f"those with readings are {', '.join(e.name for e in read)}" if read else NOTHING_READ


def _wanted(read: Sequence[Evidence], since: str | None, last: int, without_baseline: bool) -> list[tuple[str, int]]:
    if since is None and without_baseline:
        return [("last", last - 1)] * (last > 0)
    if since is None:
        return [("baseline", 0)] * (last > 0) + [("last", last - 1)] * (last > 1)
    first = _index(read, since, 0)
    if first >= last:
        raise UsageError(
            f"'{read[first].name}' is not earlier than '{read[last].name}'; the earlier one goes with --from"
        )
    return [("chosen", first)]


def _index(read: Sequence[Evidence], name: str | None, default: int) -> int:
    if name is None:
        return default
    names = [r.name for r in read]
    if name not in names:
        raise UsageError(f"there is no checkpoint '{name}'; there are {', '.join(names)}")
    return names.index(name)


def _end(evidence: Evidence) -> End:
    c = evidence.circumstances
    return End(c.name, c.hours, c.date, c.use)


def _pair(since: str, before: Evidence, after: Evidence, wish: _Wish, beside: tuple[str, ...] = ()) -> Pair:
    how = compare_circumstances(before.circumstances, after.circumstances)
    pairing = paired(before, after, how)
    rows = change_table(pairing, how, wish.level)
    if wish.verdicts_only and since == "last":
        return _bare(before, after, how, pairing, rows)
    zones = _zones(pairing, how, rows, (before, after), wish)
    lost = lost_between(before, after, pairing)
    white = white_step(pairing, how)
    ends = (_end(before), _end(after))
    between, between_u = hours_between(*ends)
    no_rate = NO_RATE if {before.name, after.name} & wish.fallen else too_wide(*ends)
    channels = sub_pixels(
        pairing,
        how,
        between,
        hours_u=between_u,
        word="fastest" if since == "last" else "most",
        no_rate=no_rate,
        told_K=(white.together_K, white.channels_K.value) if white is not None and white.counts else None,
    )
    return Pair(
        since=since,
        before=ends[0],
        after=ends[1],
        how=how,
        rows=rows,
        sub_pixels=channels,
        white=white.sentence if white is not None else "",
        zones=zones,
        zones_lost=tuple(zone for zone in lost if zone not in {z.zone for z in zones}),
        not_compared=(*lost.values(), *pairing.problems, *beside),
        paired=len(pairing.patches),
        codes=() if wish.verdicts_only else codes_needed(pairing),
        suspicions=suspicions(rows, channels, before, after, same_probe=how.same_probe),
        deciding=() if wish.verdicts_only else deciding(rows, pairing.after, wish.level),
        assumed=pairing.after.meter.assumed(),
        figures=every_change(pairing, how.common) if wish.every_figure else (),
        no_rate=no_rate,
    )


def _bare(
    before: Evidence, after: Evidence, how: Comparability, pairing: Pairing, rows: tuple[JudgedChange, ...]
) -> Pair:
    """Return what happened since last time with nothing but the change table."""
    ends, shared = (_end(before), _end(after)), len(pairing.patches)
    return Pair("last", *ends, how, rows, None, "", (), pairing.problems, shared, (), (), (), "", ())


def _zones(
    pairing: Pairing, how: Comparability, rows: tuple[JudgedChange, ...], ends: tuple[Evidence, Evidence], wish: _Wish
) -> tuple[ZoneFinding, ...]:
    """Return the zones both read, from what pairs, then those only the later one read, from all its readings."""
    before, after = ends
    steps = tuple(zone_steps(pairing, how.common).values())
    both = tuple(
        z for z in zone_findings(steps, rows, pairing.after, wish.facts, wish.level) if z.change is not None
    )  # fmt: skip
    return both + zones_alone(after, wish.facts, {z.zone for z in both}, zones_read(before))
