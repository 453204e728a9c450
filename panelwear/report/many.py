"""One HTML page of many panels: in short, groups, ranking, what was left out; no script, no network, no other file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from panelwear.archive.many import Verdicts
from panelwear.archive.ranking import CHANGED, NOTHING, STEADY, UNDECIDED, Summary
from panelwear.atomic import write_out
from panelwear.folder.hours import HoursOfUse
from panelwear.report.build import SOFTWARE
from panelwear.report.content import ReportTable, Section, number, text
from panelwear.report.page import rendered
from panelwear.telling.words import counted, percent, verb
from panelwear.uncertainty.formatting import NONE, rounded

TEMPLATE = "many.html.j2"
MOST_ROWS = 1_000
"""Panels that stand on the page; the tables beside it hold all of them."""
WORD = {CHANGED: "changed", UNDECIDED: "undecided", STEADY: "no change", NOTHING: "no verdict"}


@dataclass(frozen=True, slots=True)
class ManyPage:
    """What stands on the page."""

    title: str
    subtitle: str
    short: tuple[str, ...]
    sections: tuple[Section, ...]
    software: str = SOFTWARE


def write_page(found: Verdicts, root: Path, out: Path) -> Path:
    """Write the page beside the tables and return its path; ``UsageError`` where another file stands in its place."""
    path = out / "verdicts.html"
    data = rendered(TEMPLATE, page_of(found, root.resolve().name)).encode("utf-8")
    write_out(path, data, lambda head: b'<meta name="generator" content="panelwear' in head, "page of this program")
    return path


def page_of(found: Verdicts, title: str) -> ManyPage:
    """Put the page together; a pure function of what was found."""
    ranking, bad = found.ranking, {**found.came.left_out, **found.came.faulty}
    sections = [*_groups(found), _ranking(ranking, found.level)] if ranking else []
    if bad:
        sections.append(_left_out(found))
    words = [WORD[word] for word in (CHANGED, UNDECIDED, STEADY, NOTHING)]
    counts = [sum(one["verdict"] == word for one in ranking) for word in (CHANGED, UNDECIDED, STEADY, NOTHING)]
    told = ", ".join(f"{count:,} {word}" for count, word in zip(counts, words, strict=True) if count)
    some = f"Of {counted(len(ranking), 'panel')}, since each one's baseline: {told}."
    short = [some if ranking else "No panel could be read."]
    if found.came.left_out:
        out = len(found.came.left_out)
        short.append(f"{counted(out, 'folder')} {verb(out, 'was')} left out; what is wrong stands below.")
    many = f"{100 * (1 - found.level):.3g}"
    short.append(
        f"Each panel was judged for itself, its chance of any false alarm is {many} %: of 100 panels that did not "
        f"change, about {many} are called changed."
    )
    return ManyPage(title, f"Verdicts of {counted(len(ranking), 'panel')}", tuple(short), tuple(sections))


def _groups(found: Verdicts) -> list[Section]:
    names = [column.name for column in found.groups.columns]
    rows = [dict(zip(names, row, strict=True)) for row in found.groups.rows]
    heads = (text("Group"), number("Panels"), number("Changed"), number("Undecided"), number("No change"),
             number("No verdict"), number("White luminance, median"), number("Least to most"),
             number("One panel's ±"))  # fmt: skip
    tables = []
    for key in dict.fromkeys(row["key"] for row in rows):
        lines = tuple(_group(row) for row in rows if row["key"] == key)
        tables.append(ReportTable(f"By {key}, as panel.toml says", heads, lines))
    note = "White luminance: change since the baseline; ± is the median half width of one panel's interval."
    return [Section("groups", "Groups", lead=(note,), tables=tuple(tables))] if tables else []


def _group(row: Mapping[str, Any]) -> tuple[str, ...]:
    counts = [f"{row[name]:,.0f}" for name in ("panels", "changed", "undecided", "no_change", "without")]
    median, least, most, wide = (
        row[f"white_{name}_percent"] for name in ("median", "least", "most", "half_width")
    )  # fmt: skip
    if median is None or wide is None:
        return (row["word"] or "not stated", *counts, NONE, NONE, NONE)
    ends = f"{rounded(least, wide, True)} to {rounded(most, wide, True)} %"
    return (row["word"] or "not stated", *counts, f"{rounded(median, wide, True)} %", ends, f"{rounded(wide, wide)} %")


def _ranking(ranking: Sequence[Summary], level: float) -> Section:
    heads = (number("Rank"), text("Panel"), text("Kind"), text("Hours of use"), text("Verdict"), number("Changed"),
             text("Furthest"), number(f"Change ± {percent(level)}"), number("White luminance"))  # fmt: skip
    rows = tuple(_row(rank, one) for rank, one in enumerate(ranking[:MOST_ROWS], start=1))
    note = "" if len(ranking) <= MOST_ROWS else f"The first {MOST_ROWS:,} of {len(ranking):,}; ranking.csv holds all."
    lead = "Furthest is the figure that changed most, measured by what is worth knowing of; where none changed, the " \
           "one that is least decided."  # fmt: skip
    table = ReportTable("Panels, the one that changed most first", heads, rows, note)
    return Section("ranking", "Ranking", lead=(lead,), tables=(table,))


def _row(rank: int, one: Summary) -> tuple[str, ...]:
    kind = " · ".join(word for word in (one["model"], one["usage"], one["brightness"]) if word)
    changed = f"{one['changed']} of {one['tested']}" if "tested" in one else NONE
    return (
        str(rank), one["panel"], kind, _between(one), WORD[one["verdict"]], changed,
        one.get("largest_caption", NONE), one.get("largest_told", NONE), one.get("white_told", NONE),
    )  # fmt: skip


def _between(one: Summary) -> str:
    first, last = (
        HoursOfUse(one[f"hours_{end}"], "estimated", one[f"{end}_low_h"], one[f"{end}_high_h"]) for end in _ENDS
    )
    return f"{first.short} to {last.short}" if first.is_range or last.is_range else f"{first.value:g} to {last.words}"


_ENDS = ("from", "to")


def _left_out(found: Verdicts) -> Section:
    rows = [(key, "left out", " ".join(f"{w}." for w in why)) for key, why in sorted(found.came.left_out.items())]
    rows += [(key, "counts in part", " ".join(f"{w}." for w in why)) for key, why in sorted(found.came.faulty.items())]
    note = "" if len(rows) <= MOST_ROWS else f"The first {MOST_ROWS:,} of {len(rows):,}; left-out.csv holds all."
    heads = (text("Panel"), text("So it"), text("What is wrong"))
    table = ReportTable("Folders that something is wrong with", heads, tuple(rows[:MOST_ROWS]), note)
    return Section("left-out", "Left out", tables=(table,))
