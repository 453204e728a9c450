"""A comparison said to a person on the terminal."""

from __future__ import annotations

from dataclasses import replace

from panelwear.ageing.calendar import calendar_of
from panelwear.compare.change_table import JudgedChange
from panelwear.compare.comparison import Comparison, Pair, between_told, paces, used_a_day
from panelwear.compare.differences import Difference
from panelwear.compare.formatting import SINCE, is_too_little, verdict
from panelwear.figures.flags import COSTS
from panelwear.telling.parts import EMPTY, Column, Grid, Part, Prose, aside, grid, paragraphs
from panelwear.telling.words import counted, percent
from panelwear.uncertainty.formatting import with_uncertainty

LONGEST_DAY_H = 24.0


def parts(found: Comparison) -> list[Part]:
    """Return the whole comparison: the verdict first, which alone is said where only that is asked for."""
    head = f"{found.panel}: {counted(len(found.checkpoints), 'checkpoint')}, {_span(found)}".lstrip(": ")
    said = [Prose(head), EMPTY, *paragraphs(*found.sentences)]
    said += [Prose(found.unread_zones)] if found.unread_zones else []
    for pair in found.pairs:
        said += aside(EMPTY, *pair_parts(pair, found.level))
    return said


def _span(found: Comparison) -> str:
    first, last = (c.use.short for c in (found.checkpoints[0], found.checkpoints[-1]))
    return f"{first} to {last} of use" if len(found.checkpoints) > 1 else f"{first} of use"


def pair_parts(pair: Pair, level: float) -> list[Part]:
    """Return one pair: heading, change table, what differed, what was not compared."""
    said: list[Part] = [
        Prose(
            f"{SINCE[pair.since]}: {pair.before.name} ({pair.before.use.words}) to {pair.after.name} "
            f"({pair.after.use.words}), {between_told(pair.before, pair.after)} of use{_pace(pair)}"
        )
    ]
    if pair.no_rate:
        said.append(Prose(f"No loss per 1000 h and no hours a day are given: {pair.no_rate}.", 2))
    if pair.rows:
        said.append(_change_table(pair, level))
    else:
        said.append(Prose("No figure could be worked out from what both checkpoints read.", 2))
    if pair.sub_pixels is not None:
        said += paragraphs(*(f"{s}." for s in pair.sub_pixels.sentences(pair.verdicts_on_wear())), indent=2)
    said += paragraphs(f"{pair.white}.", indent=2) if pair.white else []
    for zone in pair.zones:
        said += [Prose(f"{s.rstrip('.')}.", 2 if i == 0 else 4) for i, s in enumerate(zone.sentences)]
    why = dict.fromkeys(row.judged.why for row in pair.rows if row.judged.why)
    below = [f"Withheld: {reason}" for reason in why]
    below += [f"{_word(d)}: {d.what}. Effect: {d.cost}." for d in pair.how.differences]
    below += [*pair.not_compared, *pair.offered()]
    below += [f"{pair.assumed}."] if pair.assumed else []
    return [*said, *paragraphs(*below, indent=2)]


def _change_table(pair: Pair, level: float) -> Grid:
    columns = (
        Column("figure"),
        Column(f"change ± ({percent(level)})", breaks=False),
        Column("verdict"),
        Column("before", optional=True, breaks=False),
        Column("now", optional=True, breaks=False),
    )
    made = grid(columns, [_row(row, level) for row in pair.rows], 2, "with --csv changes")
    matter = (n for n, row in enumerate(pair.rows) if row.judged.verdict == "changed" and not is_too_little(row.judged))
    return replace(made, strong=frozenset(matter))


def _word(difference: Difference) -> str:
    return "Flagged" if difference.topic in COSTS else "Differed"


def _row(row: JudgedChange, level: float) -> list[str]:
    change = row.change
    indent = "  " if row.under else ""
    return [
        indent + change.caption,
        with_uncertainty(change.step, level, signed=row.vector is None or row.name == "balance"),
        verdict(row.judged, change.step.unit),
        with_uncertainty(change.before, level),
        with_uncertainty(change.after, level),
    ]


def _pace(pair: Pair) -> str:
    """Say in how many days, where the dates tell and make sense."""
    a_day = used_a_day(pair.before, pair.after)
    if pair.no_rate or not 0 < a_day <= LONGEST_DAY_H:
        return ""
    span = calendar_of(pair.after.hours - pair.before.hours, a_day)
    least, most = paces(pair.before, pair.after)
    pace = f"{least:.1f} to {min(most, LONGEST_DAY_H):.1f}" if most > least else f"{a_day:.1f}"
    return f" in {span.words}, {pace} h a day"
