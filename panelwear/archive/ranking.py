"""Many panels beside each other: which changed most, and how panels of one kind stand. Plain data in, tables out.

Of each panel counts what changed since its baseline. Ranked first is the panel whose largest significant change is most
often as large as what is worth knowing of; behind those that changed come the undecided ones, then those of which a
change is ruled out, then those without a verdict.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from panelwear.compare.change_table import JudgedChange
from panelwear.compare.comparison import Comparison, Pair
from panelwear.compare.formatting import verdict
from panelwear.compare.headline import row_of, worth_of
from panelwear.compare.sentences import changed_of
from panelwear.compare.tables import Columns, CsvTable, table
from panelwear.telling.words import percent
from panelwear.uncertainty.coverage import expanded
from panelwear.uncertainty.formatting import with_uncertainty

Summary = Mapping[str, Any]
GROUPED_BY = ("model", "usage", "brightness")
CHANGED, UNDECIDED, STEADY, NOTHING = "changed", "undecided", "no change larger than", "none"
ORDER = (CHANGED, UNDECIDED, STEADY, NOTHING)


def summary_of(found: Comparison) -> dict[str, Any]:
    """Return what of a panel's comparison the ranking needs: numbers and words that JSON can hold."""
    pairs = {pair.since: pair for pair in found.pairs}
    pair = pairs.get("baseline")
    first, newest = found.checkpoints[0].use, found.checkpoints[-1].use
    ends = {
        "hours_from": first.value, "hours_to": newest.value, "from_low_h": first.low, "from_high_h": first.high,
        "to_low_h": newest.low, "to_high_h": newest.high,
    }  # fmt: skip
    counts = {"checkpoints": len(found.checkpoints), **ends}
    if pair is None or not pair.rows:
        return {**counts, "verdict": NOTHING}
    tested = [row for row in pair.rows if not row.under]
    changed = changed_of(pair.rows)
    word = CHANGED if changed else next(word for word in ORDER[1:] if any(row.judged.verdict == word for row in tested))
    same = changed or [row for row in tested if row.judged.verdict == word]
    largest = max(same, key=lambda row: (worth_of(row), row.name))
    last = pairs.get("last")
    return {
        **counts,
        "verdict": word,
        "tested": len(tested),
        "changed": len(changed),
        "changed_since_last": None if last is None else len(changed_of(last.rows)),
        **_told(largest, "largest", found.level),
        **_white(pair, found.level),
    }


def _told(row: JudgedChange, name: str, level: float) -> dict[str, Any]:
    step = row.change.step
    signed = row.vector is None or row.name == "balance"
    return {
        f"{name}_figure": row.name,
        f"{name}_caption": row.change.caption,
        f"{name}_change": _finite(step.value),
        f"{name}_half_width": _finite(expanded(step, level)),
        f"{name}_unit": step.unit,
        f"{name}_times_worth": _finite(worth_of(row)),
        f"{name}_told": with_uncertainty(step, level, signed=signed),
        f"{name}_verdict": verdict(row.judged, step.unit),
    }


def _white(pair: Pair, level: float) -> dict[str, Any]:
    row = row_of(pair, "white.Y")
    return {} if row is None else _told(row, "white", level)


def _finite(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


def ranked(summaries: Iterable[Summary]) -> list[Summary]:
    """Put panels in order: the one that changed most first."""

    def place(one: Summary) -> tuple[int, float, str]:
        return (ORDER.index(one["verdict"]), -(one.get("largest_times_worth") or 0.0), one["panel"])

    return sorted(summaries, key=place)


WORDS = (
    ("panel", "", "folder of the panel below the root"),
    ("name", "", "what panel.toml calls it"),
    ("model", "", "kind of panel, in the person's words"),
    ("usage", "", "what it shows, likewise"),
    ("brightness", "", "how bright it is kept, likewise"),
)


def ranking_columns(level: float) -> Columns:
    """Return the columns of the ranking: name, unit, description, digits."""
    interval = f"half width of its {percent(level)} interval"
    return (
        ("rank", "1", "1: changed most"),
        *WORDS,
        ("checkpoints", "1", "checkpoints that count"),
        ("hours_from", "h", "hours of use at the first of them"),
        ("hours_to", "h", "hours of use at the newest"),
        ("from_low_h", "h", "least that hours_from can be; hours_from itself unless it is estimated within a range"),
        ("from_high_h", "h", "most it can be"),
        ("to_low_h", "h", "least that hours_to can be, likewise"),
        ("to_high_h", "h", "most it can be"),
        ("verdict", "", "changed: some figure did since the baseline; undecided; no change larger than; none"),
        ("tested", "1", "figures that were tested together"),
        ("changed", "1", "how many of them changed"),
        ("changed_since_last", "1", "how many since last time; empty where there are two checkpoints"),
        ("largest_figure", "", "of those with the panel's verdict, the one furthest over what is worth knowing of"),
        ("largest_caption", "", "what a person calls it"),
        ("largest_change", "row", "its change since the baseline, in largest_unit", "largest_half_width"),
        ("largest_half_width", "row", interval, 2),
        ("largest_unit", "", "unit of the two before"),
        ("largest_times_worth", "1", "how often it is as large as what is worth knowing of", 3),
        ("white_change", "%", "change of white luminance since the baseline", "white_half_width"),
        ("white_half_width", "%", interval, 2),
        ("white_verdict", "", "its verdict"),
        ("said", "", "what compare says of the panel, all sentences"),
        ("faults", "", "what of it is not as it was written"),
    )


def ranking_table(order: Sequence[Summary], level: float) -> CsvTable:
    """Return a row a panel, in the order of ``ranked``."""
    columns = ranking_columns(level)
    rows = [[rank if column[0] == "rank" else one.get(column[0]) for column in columns]
            for rank, one in enumerate(order, start=1)]  # fmt: skip
    return table("ranking", "Panels, the one that changed most first", columns, rows)


GROUPS = (
    ("key", "", "key of panel.toml"),
    ("word", "", "what it says; empty where a panel says nothing"),
    ("panels", "1", "how many"),
    ("changed", "1", "how many of them changed since their baseline"),
    ("undecided", "1", "of how many that is undecided"),
    ("no_change", "1", "of how many a change is ruled out"),
    ("without", "1", "how many have no verdict"),
    ("white_median_percent", "%", "median change of white luminance since the baseline", "white_half_width_percent"),
    ("white_least_percent", "%", "the panel that lost most", "white_half_width_percent"),
    ("white_most_percent", "%", "the panel that lost least", "white_half_width_percent"),
    ("white_half_width_percent", "%", "median half width of one panel's own interval", 2),
    ("median_times_worth", "1", "median of how often the largest change is as large as what is worth knowing of", 3),
)


def groups_table(summaries: Sequence[Summary]) -> CsvTable:
    """Return a row for each word of each key that some panel states."""
    rows = []
    for key in GROUPED_BY:
        words = sorted({one[key] for one in summaries})
        if words not in ([], [""]):
            rows += [(key, word, *_group([one for one in summaries if one[key] == word])) for word in words]
    return table("groups", "Panels of one kind", GROUPS, rows)


def _group(listed: Sequence[Summary]) -> tuple[object, ...]:
    counts = [sum(one["verdict"] == word for one in listed) for word in ORDER]
    white = _known(listed, "white_change")
    ends = (statistics.median(white), min(white), max(white)) if white else (None, None, None)
    return (len(listed), *counts, *ends, *(_median(_known(listed, name)) for name in (
        "white_half_width", "largest_times_worth")))  # fmt: skip


def _known(listed: Sequence[Summary], name: str) -> list[float]:
    return [value for one in listed if (value := one.get(name)) is not None]


def _median(values: Sequence[float]) -> float | None:
    return statistics.median(values) if values else None
