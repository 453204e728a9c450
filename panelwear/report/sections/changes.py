"""What changed: the change tables of the comparison, since the baseline and since last time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from panelwear.compare.change_table import JudgedChange
from panelwear.compare.comparison import Pair
from panelwear.compare.formatting import SINCE, verdict
from panelwear.compare.headline import weight_of, worth_of
from panelwear.report.content import ChangeRow, ChangeTable, Section
from panelwear.report.inputs import Inputs
from panelwear.uncertainty.formatting import with_uncertainty

NOTE = (
    "± at 95 %. “Changed”: significant, with the chance of any false alarm in one table held to 5 % (Holm's step-down "
    "test). “Too little to matter (under X)”: that, but less than is worth knowing. “No change larger than X”: the "
    "whole interval lies inside ±X, and X is too small to matter. “Undecided (up to X possible)”: neither. Indented "
    "lines tell more of the line above them; on paper only those that changed by what matters are kept."
)


def section(inputs: Inputs) -> Section | None:
    """Return the change tables, or nothing with one checkpoint."""
    if inputs.comparison is None or not inputs.pairs:
        return None
    level = inputs.comparison.level
    tables = [_table(pair, level) for pair in inputs.pairs if pair.rows]
    if tables:
        tables[-1] = replace(tables[-1], note=NOTE)
    return Section("changes", "What changed", (), changes=tuple(tables), points=_beside(inputs))


def _table(pair: Pair, level: float) -> ChangeTable:
    caption = (
        f"{SINCE[pair.since]}: {pair.before.use.short} ({pair.before.date}) to {pair.after.use.short} "
        f"({pair.after.date})"
    )
    return ChangeTable(caption, tuple(_row(row, level) for row in by_size(pair.rows)))


def by_size(rows: Sequence[JudgedChange]) -> tuple[JudgedChange, ...]:
    """Order figures by their step over what matters, largest first, each with what tells more of it behind it.

    A zone of which only a hue changed stands where that hue would.
    """

    def below(name: str) -> list[JudgedChange]:
        return sorted((row for row in rows if row.under == name), key=worth_of, reverse=True)

    def size(row: JudgedChange) -> float:
        hues = [worth_of(r) for r in rows if r.under == row.name and r.name.startswith("zone-hue/")]
        return max(worth_of(row), *hues, -1.0)

    tops = sorted((row for row in rows if not row.under), key=size, reverse=True)
    return tuple(one for top in tops for one in (top, *below(top.name)))


def _row(row: JudgedChange, level: float) -> ChangeRow:
    change = row.change
    return ChangeRow(
        figure=change.caption,
        before=with_uncertainty(change.before, level),
        after=with_uncertainty(change.after, level),
        step=with_uncertainty(change.step, level, signed=row.vector is None or row.name == "balance"),
        verdict=verdict(row.judged, change.step.unit),
        detail=row.judged.why,
        is_under=bool(row.under),
        weight=weight_of(row),
        key=row.name,
    )


def _beside(inputs: Inputs) -> tuple[str, ...]:
    """Return what stands beside the tables: suspicions, what was not compared, what is put together or assumed."""
    said = [sentence for pair in inputs.pairs for sentence in (*pair.suspicions, *pair.not_compared)]
    said += [f"No loss per 1000 h is given: {pair.no_rate}." for pair in inputs.pairs if pair.no_rate]
    said += [f"{SINCE[pair.since]}: {pair.white[:1].lower()}{pair.white[1:]}." for pair in inputs.pairs if pair.white]
    said += [sentence for pair in inputs.pairs for sentence in pair.offered()]
    said += [f"{pair.assumed}." for pair in inputs.pairs if pair.assumed]
    return tuple(dict.fromkeys(said))
