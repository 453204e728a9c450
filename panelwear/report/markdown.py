"""The report in a few lines of Markdown to paste: three sentences, the main table, the caveats."""

from __future__ import annotations

import re
from collections.abc import Iterable

from panelwear.report.content import ChangeRow, ChangeTable, Report, Told
from panelwear.uncertainty.formatting import NONE

SPECIAL = re.compile(r"([\\`*_{}\[\]<>#|~])")


def markdown_of(report: Report) -> str:
    """Return a report's sentences, main table and caveats as Markdown (CommonMark with the tables of GFM)."""
    changes = next((section.changes for section in report.sections if section.key == "changes"), ())
    parts = [f"## {plain(report.panel)}", plain(report.subtitle)]
    parts += [f"> **{plain(report.banner)}**"] if report.banner else []
    parts += [f"> **Not as it was written:** {plain(fault)}" for fault in report.faults]
    parts += [plain(sentence) for sentence in report.verdict]
    parts += ["\n".join(_changes(changes) if changes else _numbers(report))]
    if report.opening.caveats:
        parts.append("Caveats:")
        parts.append("\n".join(f"- {plain(sentence)}" for sentence in report.opening.caveats))
    parts.append(f"± at 95 %. Written by {plain(report.software)}.")
    return "\n\n".join(parts) + "\n"


def plain(words: str) -> str:
    """Return words of which no character is taken for markup, on one line."""
    return SPECIAL.sub(r"\\\1", " ".join(words.split()))


def _changes(tables: tuple[ChangeTable, ...]) -> list[str]:
    """Return one row a figure, in the order of the first table; what only tells more of another is left out."""
    heads = ["Figure"]
    for table in tables:
        heads += [table.caption.partition(":")[0], "Verdict"]
    lines = [_line(heads), _line(["---", *["---:", "---"] * len(tables)])]
    for row in tables[0].rows:
        if row.is_under and row.weight != "matters":
            continue
        cells = [_bold(plain(row.figure), row)]
        for table in tables:
            found = next((other for other in table.rows if other.key == row.key), None)
            step, verdict = (NONE, NONE) if found is None else (found.step, found.verdict)
            cells += [_bold(plain(step), found), plain(verdict)]
        lines.append(_line(cells))
    return lines


def _bold(words: str, row: ChangeRow | None) -> str:
    return f"**{words}**" if row is not None and row.weight == "matters" else words


def _numbers(report: Report) -> list[str]:
    rows = [[one.title, _value(one.main), one.main.verdict or one.main.when] for one in report.opening.numbers]
    return [
        _line(["Figure", "Value", "Said of it"]),
        _line(["---", "---:", "---"]),
        *(_line(map(plain, r)) for r in rows),
    ]


def _value(told: Told) -> str:
    """Return "410 ± 17 cd/m²"; on the page the unit stands behind the large number too."""
    return f"{told.value.partition(' ')[0]} {told.interval}" if told.interval else told.value


def _line(cells: Iterable[str]) -> str:
    return f"| {' | '.join(cells)} |"
