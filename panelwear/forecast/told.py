"""Answers said to a person: a sentence each, a table of uses, and what halving would buy."""

from __future__ import annotations

import math
from collections.abc import Callable

from panelwear.ageing.calendar import DAYS_A_MONTH, calendar_of
from panelwear.ageing.said import hours_words
from panelwear.compare.comparison import Comparison
from panelwear.compare.tables import CsvTable, table
from panelwear.forecast.answers import NOT_AT_BOTH, Foretold, ForUse, Limited, on_the_calendar
from panelwear.forecast.uses import OWN, Rate, of_bright_content, of_brightness
from panelwear.telling.parts import EMPTY, Column, Grid, Part, Prose, aside, grid, paragraphs
from panelwear.telling.words import as_typed
from panelwear.uncertainty.formatting import NONE

HALF_A_TENTH = 0.05
"""Months below which none are written."""
SHORT = 10.0
"""Days below which a tenth is told too."""

NO_PROMISE = (
    "A forecast from one panel is no promise: it knows the wear that was read, not a fault, another batch or another "
    "room."
)


def parts_of(found: Foretold) -> list[Part]:
    """Return everything: answers, the table of uses, and what halving would buy."""
    said = paragraphs(*(one.sentence for one in found.answers))
    if found.rows:
        said += [EMPTY, _grid(found), *paragraphs(*found.notes, *_plain_words(found), *_of_now(found), *_late(found))]
    return [*said, *aside(EMPTY, *paragraphs(*halving()), EMPTY, Prose(NO_PROMISE))]


def _grid(found: Foretold) -> Grid:
    columns = (
        Column("until"), Column("used"), Column("hours of use", breaks=False), Column("days from new", breaks=False),
        Column("months from new", breaks=False), Column("months from now", breaks=False, optional=True),
    )  # fmt: skip
    return grid(columns, [_row(one) for one in found.printed_rows], 2, "with --csv forecast")


def _row(one: ForUse) -> list[str]:
    left = (one.low_left_days / DAYS_A_MONTH, one.high_left_days / DAYS_A_MONTH)
    return [
        one.answer.target.text,
        one.use.name,
        _ends(one.low_h, one.high_h, _hours, " h"),
        _ends(one.low_days, one.high_days, _days),
        _ends(*one.months, _months),
        _ends(*left, _months),
    ]


def _ends(low: float, high: float, words: Callable[[float], str], unit: str = "") -> str:
    """Write a range."""
    if math.isnan(low):
        return NONE
    return f"{words(low)} to {words(high)}{unit}" if math.isfinite(high) else f"{words(low)}{unit} or more"


def _hours(hours: float) -> str:
    return as_typed(round(hours, 6))


def _days(days: float) -> str:
    return f"{days:.{1 if days < SHORT else 0}f}"


def _months(months: float) -> str:
    return f"{months:.1f}"


def _of_now(found: Foretold) -> list[str]:
    """Say what it means where nothing lies between now and a limit, and where hours of another's use lie before now."""
    rows, said = found.printed_rows, []
    if any(one.low_left_days / DAYS_A_MONTH < HALF_A_TENTH for one in rows):
        said.append("0.0 months from now: it may come at any time from the newest checkpoint on.")
    now = found.now_between_h[0]
    faster = [one for one in rows if one.use.rate != OWN.rate and one.low_h < now <= one.answer.low_h]
    if faster:
        said.append(
            f"Hours of '{faster[0].use.name}' are those of a panel that was used so from new on; they may be fewer "
            f"than the {hours_words(*found.now_between_h)} that this one has now, for those were its own use."
        )
    return said


def _late(found: Foretold) -> list[str]:
    """Say what a baseline that was not new means for somebody whose panel is."""
    since = any(one.is_ahead and one.target.kind in {"kept", "shift"} for one in found.answers)
    if not (since and found.begun_h > 0):
        return []
    return [
        f"Losses and shifts count from this panel's baseline at {found.begun_words}, not from new: "
        "counted from new, they come sooner."
    ]


def _plain_words(found: Foretold) -> list[str]:
    """Say in words what the question asked most comes to: someone who uses it half as much."""
    own = sorted((one for one in found.printed_rows if one.use is OWN), key=lambda one: math.isinf(one.high_h))
    first = own[0] if own else None
    if first is None or math.isnan(first.low_days):
        return ["How many hours a day this panel is used is not known from its dates, so its own days are not given."]
    low, high = first.months
    mine, theirs = _ends(low, high, _months, " months"), _ends(2 * low, 2 * high, _months, " months")
    return [
        f"Someone who uses such a panel half as many hours a day, for the same work at the same brightness, comes to "
        f"'{first.answer.target.text}' after the same hours of use and so in twice the time: {theirs} from new, "
        f"where this panel's pace ({found.own_words}) makes it {mine}."
    ]


def halving() -> list[str]:
    """Say in three lines what half the hours, half the brightness and half the bright content would buy."""
    return [
        "Half the hours a day: the same hours of use, 2 times as long on the calendar.",
        f"Half the brightness: {_times(of_brightness(0.5))} the hours of use (wear goes as luminance to the power 1.7, "
        "1.4 to 2.0 where it is not known for this panel).",
        f"Half the bright content in a place: {_times(of_bright_content(0.5))} the hours of use there (black or "
        "mid-grey in its place; a part of the picture that is not bright wears on as it does).",
    ]


def _times(rate: Rate) -> str:
    return f"{1 / rate.likely:.1f} times ({1 / rate.high:.1f} to {1 / rate.low:.1f})"


def table_of(found: Foretold) -> CsvTable:
    """Return every answer for every use as a table; an answer that is not ahead has one row without hours."""
    columns = (
        ("until", "", "what is asked for"),
        ("said", "", "refused, reached or visible already, bound, indicative or interval"),
        ("use", "", "whose use"),
        ("low_h", "h", "not before, in hours of such use from new", 3),
        ("high_h", "h", "by then; empty where only the lower limit may be said", 3),
        ("likely_h", "h", "by the stretched exponential that fits best, at this panel's own use", 3),
        ("low_days", "d", "low_h on the calendar, from new", 3),
        ("high_days", "d", "high_h on the calendar", 3),
        ("low_months", "month", "low_days in mean Gregorian months of 30.436875 days", 3),
        ("high_months", "month", "high_days likewise", 3),
        ("low_left_days", "d", "days from the newest checkpoint, if this panel is used so from there on", 3),
        ("high_left_days", "d", "likewise, upper limit", 3),
        ("sentence", "", "as it is said"),
    )
    rows: list[tuple[object, ...]] = []
    for one in found.answers:
        if not one.is_ahead:
            rows.append((one.target.text, one.said, "", *(None,) * 9, one.sentence))
        rows += [
            (
                one.target.text, one.said, row.use.name, row.low_h, row.high_h,
                one.likely_h if row.use is OWN else None, row.low_days, row.high_days, *row.months,
                row.low_left_days, row.high_left_days, one.sentence,
            )
            for row in found.rows
            if row.answer is one
        ]  # fmt: skip
    return table("forecast", "When wear will matter", columns, rows)


def sentences_of(found: Comparison, target_loss: float) -> list[str]:
    """Return what may be said about reaching a loss, a sentence a channel, and about zones becoming visible."""
    wear, own = found.forecasts(target_loss), on_the_calendar(found)
    said = [f"{name}: {one.sentence}{_in_days(own, one)}" for name, one in wear.items()]
    luminances = (s.name.removesuffix(".Y") for s in found.trend if s.name.endswith(".Y"))
    said += [f"{name}: No forecast: {NOT_AT_BOTH}." for name in luminances if name not in wear]
    said = said or ["No luminance was read at two checkpoints, so there is nothing to forecast from."]
    zones = found.zone_forecasts()
    ahead = [f"{name}.Y" for name, one in wear.items() if math.isfinite(one.low_h)]
    ahead += [f"zone/{one.zone}" for one in zones if math.isfinite(one.low_h)]
    said += [moved] if (moved := found.hours_said(ahead)) else []
    return said + [f"{one.sentence}{_in_days(own, one)}" for one in zones]


def _in_days(own: Foretold, one: Limited) -> str:
    low, most = own.own_between_h_a_day
    if not (math.isfinite(one.low_h) and most > 0):
        return ""
    left = max(own.printed(one)[0] - own.now_between_h[1], 0.0)
    up_to = "up to " if most > low else ""
    return f" At {up_to}{most:.4g} h a day that is {calendar_of(left, most).words} from now at the earliest."
