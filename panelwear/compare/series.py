"""All checkpoints of a panel in one call: what changed since the baseline and since last time, and how sure that is.

Pure functions over reading tables: any number of panels can go through them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from panelwear.compare.differences import Comparability, compare_circumstances
from panelwear.compare.headline import Row, change_table
from panelwear.compare.pairing import Pairing, pair
from panelwear.compare.subject import Ready, Subject, made_ready
from panelwear.compare.tables import Table, table
from panelwear.compare.words import half_width
from panelwear.errors import UsageError


@dataclass(frozen=True, slots=True)
class End:
    """Which checkpoint stands at one end of a comparison."""

    name: str
    hours: float
    date: str


@dataclass(frozen=True, slots=True, eq=False)
class Pair:
    """Two checkpoints compared."""

    since: str
    """``baseline``, ``last`` or ``chosen``."""
    before: End
    after: End
    how: Comparability
    rows: tuple[Row, ...]
    """The change table: at most twelve figures tested together, and what follows from each."""
    not_compared: tuple[str, ...]
    """Patches that do not pair, a sentence a group."""
    paired: int
    """Patches that do."""


@dataclass(frozen=True, slots=True, eq=False)
class Comparison:
    """Everything about the checkpoints of one panel."""

    panel: str
    level: float
    checkpoints: tuple[End, ...]
    pairs: tuple[Pair, ...]
    """Since the baseline, then since last time (or the one pair that was asked for)."""
    sentences: tuple[str, ...]
    """The verdict in three sentences."""

    def tables(self) -> dict[str, Table]:
        """Return every table by name."""
        return {"changes": _changes(self), "differences": _differences(self)}

    def to_json(self) -> dict[str, object]:
        """Return plain data for ``json``."""
        return {
            "panel": self.panel,
            "level": self.level,
            "verdict": list(self.sentences),
            "checkpoints": [{"name": c.name, "hours": c.hours, "date": c.date} for c in self.checkpoints],
            "tables": [t.to_json() for t in self.tables().values()],
        }


def comparison_of(
    checkpoints: Sequence[Subject],
    *,
    panel: str = "",
    since: str | None = None,
    until: str | None = None,
    level: float = 0.95,
) -> Comparison:
    """Compare the checkpoints of one panel.

    Args:
        checkpoints: in any order; they are put in the order of their hours.
        panel: its name.
        since: name of the earlier checkpoint; by default both the baseline and the last but one.
        until: name of the later one; by default the newest.
        level: of intervals; 1 - level is the family's chance of a false alarm.

    Raises:
        UsageError: fewer than two checkpoints, or a name that is not there.
    """
    if len(checkpoints) < 2:
        raise UsageError("a comparison needs two checkpoints; this panel has " + ("one" if checkpoints else "none"))
    ready = made_ready(checkpoints)
    last = _index(ready, until, len(ready) - 1)
    if since is not None:
        wanted = [("chosen", _index(ready, since, 0))]
    else:
        wanted = [("baseline", 0)] + ([("last", last - 1)] if last > 1 else [])
    if any(first >= last for _, first in wanted):
        raise UsageError(
            f"'{ready[wanted[0][1]].name}' is not earlier than '{ready[last].name}'; the earlier one goes with --from"
        )
    pairs = tuple(_pair(name, ready[first], ready[last], level) for name, first in wanted)
    ends = tuple(_end(r) for r in ready)
    return Comparison(panel, level, ends, pairs, ())


def _index(ready: Sequence[Ready], name: str | None, default: int) -> int:
    if name is None:
        return default
    names = [r.name for r in ready]
    if name not in names:
        raise UsageError(f"there is no checkpoint '{name}'; there are {', '.join(names)}")
    return names.index(name)


def _end(ready: Ready) -> End:
    c = ready.subject.circumstances
    return End(c.name, c.hours, c.date)


def _pair(since: str, before: Ready, after: Ready, level: float) -> Pair:
    how = compare_circumstances(before.subject.circumstances, after.subject.circumstances)
    pairing = paired(before, after, how)
    return Pair(
        since,
        _end(before),
        _end(after),
        how,
        change_table(pairing, how, level),
        pairing.problems,
        len(pairing.patches),
    )


def paired(before: Ready, after: Ready, how: Comparability) -> Pairing:
    """Cut two checkpoints down to what they share, with the probe's terms as this comparison needs them."""
    sides = [replace(r.session, meter=how.meter(r.session.meter)) for r in (before, after)]
    return pair(sides[0], sides[1])


_PAIR = (
    ("since", "", "baseline, last or chosen"),
    ("from", "", "earlier checkpoint"),
    ("to", "", "later checkpoint"),
    ("from_h", "h", "hours of use of the earlier one"),
    ("to_h", "h", "hours of use of the later one"),
)


def ends_of(pair: Pair) -> tuple[object, ...]:
    """Return the cells that say which pair a row belongs to."""
    return (pair.since, pair.before.name, pair.after.name, pair.before.hours, pair.after.hours)


def _changes(found: Comparison) -> Table:
    columns = (
        *_PAIR,
        ("figure", "", "stable key"),
        ("caption", "", "what a person calls it"),
        ("under", "", "the figure it follows from"),
        ("then", "row", "value at the earlier checkpoint"),
        ("now", "row", "value at the later checkpoint"),
        ("value_unit", "", "unit of then and now"),
        ("change", "row", "change"),
        ("unit", "", "unit of change, u, half_width, bound and worth"),
        ("u", "row", "standard uncertainty of the change"),
        ("dof", "1", "its effective degrees of freedom; empty: infinitely many"),
        ("half_width", "row", f"half width of the {found.level:.0%} interval"),
        ("p", "1", "two-sided p value before Holm's procedure"),
        ("verdict", "", "changed, no change larger than, undecided"),
        ("bound", "row", "least X for which the interval lies inside ± X"),
        ("worth", "row", "change worth knowing of"),
        ("why", "", "why the verdict is withheld"),
        ("cancelled", "", "doubts both checkpoints share"),
        ("doubts", "", "largest doubts that stay, with their standard uncertainties"),
    )
    rows = [(*ends_of(pair), *_cells(row, found.level)) for pair in found.pairs for row in pair.rows]
    return table("changes", "What changed", columns, rows)


def _cells(row: Row, level: float) -> tuple[object, ...]:
    change, step = row.change, row.change.step
    doubts = sorted(step.components, key=lambda c: -c.u)[:4]
    return (
        row.name,
        change.caption,
        row.under,
        change.before.value,
        change.after.value,
        change.after.unit,
        step.value,
        step.unit,
        step.u,
        step.dof,
        half_width(step, level),
        row.judged.p,
        row.judged.verdict,
        row.judged.bound,
        row.judged.worth,
        row.judged.why,
        ", ".join(change.cancelled),
        "; ".join(f"{c.name} {c.u:.3g}" for c in doubts),
    )


def _differences(found: Comparison) -> Table:
    columns = (*_PAIR, ("topic", "", "what it is about"), ("what", "", "what differed"), ("cost", "", "what it costs"))
    rows = [(*ends_of(pair), d.topic, d.what, d.cost) for pair in found.pairs for d in pair.how.differences]
    return table("differences", "What was not alike", columns, rows)
