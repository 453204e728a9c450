"""What is kept of usage, and the doses, as parts for the terminal, as tables and as plain data."""

from __future__ import annotations

from panelwear.ageing.dose import LAW
from panelwear.compare.tables import HOURS_BETWEEN, CsvTable, table
from panelwear.telling.parts import EMPTY, Column, Part, Prose, aside, grid, paragraphs
from panelwear.usage.records import Content, Stretch
from panelwear.usage.told import UsageTold
from panelwear.usage.words import WHOLE_PANEL, content_words, hours_words, rounded, stretch_words

NOTHING = (
    "nothing was told yet of what this panel shows; 'panelwear usage DIR --ask' asks for it, and --hours-a-day, "
    "--white, --shows, --table and --screenshots tell it"
)


def parts_of(panel: str, found: UsageTold) -> list[Part]:
    """Lay it out: what is kept, the hours, the doses."""
    said = [*paragraphs(*(f"{one}." for one in found.faults))]
    if not found.usage.stretches:
        return [*said, Prose(f"{panel}: {NOTHING}.")]
    said += aside(Prose(f"{panel}: what is kept of usage"), EMPTY)
    said += aside(grid(_STRETCHES, [_stretch_row(one) for one in found.usage.stretches]))
    if not found.checkpoints:
        return [*said, EMPTY, Prose("no checkpoint yet, so there is no dose: hours of use come from checkpoints.")]
    if found.between:
        said += aside(EMPTY, grid(_HOURS, [hours_words(one) for one in found.between]))
        said += paragraphs(*(f"{one.sentence}." for one in found.between if one.disagrees))
    if not found.doses:
        told = "no dose can be worked out: what is shown was not told (--shows, --screenshots)."
        return [*said, EMPTY, Prose(told)]
    said += [
        EMPTY,
        Prose("Effective hours of a white of 120 cd/m² since the panel was new, and between what they lie:"),
    ]
    said.append(grid(_DOSES, _dose_rows(found), 2, "with --csv doses"))
    below = [f"{LAW}.", *(f"{one[0].upper()}{one[1:]}." for one in found.notes)]
    return [*said, *aside(*paragraphs(*below))]


_STRETCHES = (
    Column("since"),
    Column("until"),
    Column("use"),
    Column("white"),
    Column("shows"),
    Column("note", optional=True),
)
_HOURS = (Column("from"), Column("to"), Column("counted", "h", number=True), Column("told", "h", number=True))
_DOSES = (
    Column("zone"),
    Column("channel"),
    Column("checkpoint", breaks=False),
    Column("dose", "h", number=True),
    Column("from ... to", "h", number=True),
)


def _stretch_row(one: Stretch) -> list[str]:
    words = stretch_words(one)
    return [words.since, words.until, words.use, words.white, words.shows, one.note]


def _dose_rows(found: UsageTold) -> list[list[str]]:
    """Return the newest checkpoint's doses; all of them stand in the table."""
    name = found.checkpoints[-1].name
    return [
        [
            one.zone or WHOLE_PANEL,
            one.channel,
            name,
            rounded(one.hours[-1]),
            f"{rounded(one.low[-1])} to {rounded(one.high[-1])}",
        ]
        for one in found.doses
    ]


def tables_of(found: UsageTold) -> dict[str, CsvTable]:
    """Return every table by name."""
    return {one.name: one for one in (_doses(found), _hours(found), _stretches(found))}


def _doses(found: UsageTold) -> CsvTable:
    columns = (
        ("zone", "", "zone; empty: the panel outside its zones"),
        ("channel", "", "red, green or blue"),
        ("checkpoint", "", "name"),
        ("hours", "h", "hours of use; of a range its middle"),
        *HOURS_BETWEEN,
        ("dose_h", "h", "effective hours of a white of 120 cd/m² since the panel was new, exponent 1.7", 4),
        ("dose_low_h", "h", "the least they can be: exponents 1.4 to 2.0, ranges told", 4),
        ("dose_high_h", "h", "the most they can be", 4),
    )
    rows = [
        (one.zone, one.channel, c.name, c.use.value, c.use.low, c.use.high, one.hours[i], one.low[i], one.high[i])
        for one in found.doses
        for i, c in enumerate(found.checkpoints)
    ]
    return table("doses", f"Dose by zone and channel: {LAW}", columns, rows)


def _hours(found: UsageTold) -> CsvTable:
    columns = (
        ("from", "", "earlier checkpoint"),
        ("to", "", "later checkpoint"),
        ("counted_low_h", "h", "hours of use between the two as the checkpoints have them, at least"),
        ("counted_high_h", "h", "the same at most"),
        (
            "told_low_h",
            "h",
            "hours of use that what was told makes, at least; empty where not every day was told of",
            4,
        ),
        ("told_high_h", "h", "the same at most", 4),
        ("agree", "", "yes, no, or empty where not every day was told of"),
    )
    rows = [
        (
            one.before.name, one.after.name, one.counted.low, one.counted.high,
            one.told.low if one.told else None, one.told.high if one.told else None,
            "" if one.told is None else "no" if one.disagrees else "yes",
        )
        for one in found.between
    ]  # fmt: skip
    return table("hours", "Hours of use between checkpoints, counted and told", columns, rows)


def _stretches(found: UsageTold) -> CsvTable:
    columns = (
        ("since", "", "always, a day, or a checkpoint"),
        ("until", "", "a day or a checkpoint; empty: until now"),
        ("zone", "", "zone; empty: the whole panel"),
        ("shows", "", "what it shows for which share of the time"),
        ("hours_a_day_low", "h", "hours of use on a day of use, at least"),
        ("hours_a_day_high", "h", "the same at most"),
        ("days_a_week_low", "1", "days of use in a week, at least"),
        ("days_a_week_high", "1", "the same at most"),
        ("white_low_cd_m2", "cd/m²", "white of the desktop, at least"),
        ("white_high_cd_m2", "cd/m²", "the same at most"),
        ("peak_share_low", "1", "the same as a share of the peak, at least"),
        ("peak_share_high", "1", "the same at most"),
        ("pictures", "1", "screenshots its dose map is the mean of"),
        ("note", "", "as told"),
    )
    return table(
        "stretches", "What was told of usage", columns, [row for s in found.usage.stretches for row in _rows(s)]
    )


def _rows(one: Stretch) -> list[tuple[object, ...]]:
    by_zone: dict[str, list[Content]] = {}
    for content in one.content:
        by_zone.setdefault(content.zone, []).append(content)
    ends: list[float | None] = []
    for told in (one.hours_a_day, one.days_a_week, one.white_cd_m2, one.peak_share):
        ends += [None, None] if told is None else [told.low, told.high]
    shown = [(zone, content_words(parts)) for zone, parts in by_zone.items()] or [("", "")]
    return [(one.since, one.until, zone, words, *ends, one.pictures or None, one.note) for zone, words in shown]


def json_of(panel: str, found: UsageTold) -> dict[str, object]:
    """Return everything as plain data for ``json``."""
    return {
        "panel": panel,
        "law": LAW,
        "response": found.response.told,
        "faults": list(found.faults),
        "notes": [*(one.sentence for one in found.between if one.disagrees), *found.notes],
        "tables": [one.to_json() for one in tables_of(found).values()],
    }
