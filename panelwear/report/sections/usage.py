"""Hours of use with how they are known, what was told of usage, and the dose of light by zone."""

from __future__ import annotations

from panelwear.ageing.dose import LAW
from panelwear.folder.hours import KINDS
from panelwear.report.content import ReportTable, Section, number, text
from panelwear.report.inputs import Inputs
from panelwear.telling.words import with_capital
from panelwear.uncertainty.formatting import NONE
from panelwear.usage.doses import Dose
from panelwear.usage.rates import CHANNELS
from panelwear.usage.told import UsageTold
from panelwear.usage.words import WHOLE_PANEL, hours_words, rounded, stretch_words

DOSE_NOTE = (
    "An effective hour is an hour of a white of 120 cd/m² for each channel. In brackets the least and the most it can "
    "be, with any exponent and any end of the ranges that were told; these are limits, not intervals of 95 %."
)


def section(inputs: Inputs) -> Section:
    """Return hours, usage and doses; folded where hours were read from the menu and nothing was told."""
    hours, told = _hours(inputs), inputs.usage
    if told is None or not told.usage.stretches:
        plain = all(one.circumstances.hours_kind == "read" for one in inputs.checkpoints)
        return Section("usage", "Hours of use", tables=() if plain else (hours,), folded=(hours,) if plain else ())
    tables = [hours, *_doses(told), *_between(told)]
    said = [*told.faults, *(one.sentence for one in told.between if one.disagrees), *told.notes]
    points = tuple(f"{with_capital(one)}." for one in (LAW, *said))
    return Section("usage", "Hours of use, what was shown, and the dose of light", tables=tuple(tables),
                   folded=(_stretches(told),), points=points)  # fmt: skip


def _hours(inputs: Inputs) -> ReportTable:
    rows = [
        (c.name, c.date or NONE, c.use.words, KINDS[c.hours_kind])
        for c in (one.circumstances for one in inputs.checkpoints)
    ]
    columns = (text("Checkpoint"), text("Begun"), number("Hours of use"), text("How they are known"))
    return ReportTable("Hours of use", columns, tuple(rows))


def _between(told: UsageTold) -> list[ReportTable]:
    if not told.between:
        return []
    columns = (text("From"), text("To"), number("Counted (h)"), number("Told of usage (h)"))
    rows = tuple(tuple(hours_words(one)) for one in told.between)
    return [ReportTable("Hours of use between checkpoints", columns, rows)]


def _doses(told: UsageTold) -> list[ReportTable]:
    if not told.doses:
        return []
    columns = (text("Zone"), *(number(f"{with_capital(channel)} (h)") for channel in CHANNELS))
    by_zone: dict[str, dict[str, Dose]] = {}
    for one in told.doses:
        by_zone.setdefault(one.zone, {})[one.channel] = one
    rows = tuple(
        (zone or WHOLE_PANEL, *(_cell(doses.get(channel)) for channel in CHANNELS)) for zone, doses in by_zone.items()
    )
    caption = f"Effective hours up to {told.checkpoints[-1].name}, since the panel was new"
    return [ReportTable(caption, columns, rows, DOSE_NOTE)]


def _cell(one: Dose | None) -> str:
    if one is None:
        return NONE
    return f"{rounded(one.hours[-1])} ({rounded(one.low[-1])} to {rounded(one.high[-1])})"


def _stretches(told: UsageTold) -> ReportTable:
    columns = tuple(text(name) for name in ("Since", "Until", "Use", "White", "Shows", "Note"))
    rows = []
    for one in told.usage.stretches:
        words = stretch_words(one)
        cells = (words.since, words.until, words.use, words.white, words.shows, one.note)
        rows.append(tuple(cell or NONE for cell in cells))
    return ReportTable("What was told of usage, as it stands in usage.toml", columns, tuple(rows))
