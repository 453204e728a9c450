"""For programs of your own: open a panel folder, get its figures as records or columns, plot one against hours.

Thin over what ``compare`` and ``report`` use, and as stable as ``docs/api.md`` says. Nothing is written and nothing is
shown. Records are dicts, and ``columns`` turns a list of them into a dict of lists, as table libraries take it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from panelwear.compare.comparing import comparison_of
from panelwear.compare.comparison import Comparison
from panelwear.compare.comparison_tables import tables_of
from panelwear.errors import UsageError
from panelwear.figures.checkpoint import figures_of
from panelwear.figures.evidence import Evidence
from panelwear.figures.load import load_panel_evidence
from panelwear.folder.checkpoint import CHECKPOINTS, load
from panelwear.folder.panel import Panel, load_panel

if TYPE_CHECKING:
    from matplotlib.figure import Figure

Cell = str | float | int | bool | None
Record = dict[str, Cell]
"""One row, by the names of its columns; what is not there, or not finite, is ``None``."""


@dataclass(frozen=True, slots=True, eq=False)
class PanelFolder:
    """A panel folder; its figures are of the moment it was opened, whatever is read later."""

    panel: Panel
    faults: tuple[str, ...]
    """What is not as it was written, a sentence each; empty where all is well."""
    evidence: tuple[Evidence, ...]
    """What every figure is worked out from, a checkpoint each; not part of what stays the same between versions."""
    without_baseline: str = ""
    """Why nothing can be said since the baseline, where it is not as it was written."""

    @property
    def checkpoints(self) -> tuple[str, ...]:
        """Names of those that count, oldest first."""
        return tuple(e.name for e in self.evidence)

    def figures(self, checkpoint: str | None = None) -> list[Record]:
        """Return the figures of one checkpoint, or of all, as records.

        Columns: ``checkpoint``, ``hours`` (h), ``date`` (ISO 8601), ``name`` (a stable key, ``docs/figures.md``),
        ``caption``, ``value``, ``unit``, ``u`` (standard uncertainty in that unit), ``dof``, ``low`` and ``high`` (the
        95 % interval), ``limit`` (``<`` or ``>`` where the value is a bound) and ``note``.

        Raises:
            UsageError: there is no such checkpoint.
        """
        chosen = self.evidence if checkpoint is None else (self._of(checkpoint),)
        return [_figure(e, plain) for e in chosen for plain in figures_of(e).to_json()]

    def table(
        self, name: str = "changes", *, since: str | None = None, until: str | None = None, level: float = 0.95
    ) -> list[Record]:
        """Return a table of the comparison as records: what ``panelwear compare --csv NAME`` prints.

        Args:
            name: ``changes``, ``trend``, ``figures`` or another that ``compare --csv`` knows.
            since: the earlier checkpoint; by default the baseline, and last time.
            until: the later checkpoint; by default the newest.
            level: of the intervals.

        Raises:
            UsageError: there is no such table or checkpoint.
        """
        found = self.comparison(since=since, until=until, level=level, every_figure=name == "figures")
        tables = tables_of(found)
        if name not in tables:
            raise UsageError(f"there is no table '{name}'; there are {', '.join(tables)}")
        names = [column.name for column in tables[name].columns]
        return [dict(zip(names, row, strict=True)) for row in tables[name].rows]

    def verdict(self) -> tuple[str, ...]:
        """Return what ``panelwear compare`` says first, a sentence each."""
        return tuple(self.comparison().sentences)

    def readings(self, checkpoint: str) -> list[Record]:
        """Return every stored reading of a checkpoint as records, as sent, with the columns of ``docs/csv.md``.

        Raises:
            FileFault: ``readings.csv`` has faults.
            UsageError: there is no such checkpoint.
        """
        self._of(checkpoint)
        return [asdict(row) for row in load(self.panel.directory / CHECKPOINTS / checkpoint).rows()]

    def plot(self, name: str) -> Figure:
        """Draw one figure against hours of use, with its 95 % intervals; ``savefig`` of what is returned stores it.

        Args:
            name: of the figure, such as ``white.Y`` or ``zone/vessel-list/grey/c128.contrast``.

        Raises:
            UsageError: no checkpoint has that figure.
        """
        from panelwear.plotting import new_figure

        there: list[Any] = [r for r in self.figures() if r["name"] == name and r["value"] is not None]
        if not there:
            raise UsageError(f"no checkpoint has a figure '{name}'; docs/figures.md lists their names")
        figure = new_figure(7.0, 4.0, self.panel.name, f"{there[-1]['caption']}; bars: 95 % intervals")
        axes = figure.subplots()
        value = [r["value"] for r in there]
        bars = [[_reach(r, "low") for r in there], [_reach(r, "high") for r in there]]
        axes.errorbar([r["hours"] for r in there], value, yerr=bars, fmt="o-", capsize=3)
        axes.set_xlabel("hours of use (h)")
        axes.set_ylabel(name if there[-1]["unit"] in {"", "1"} else f"{name} ({there[-1]['unit']})")
        return figure

    def comparison(
        self,
        *,
        since: str | None = None,
        until: str | None = None,
        level: float = 0.95,
        every_figure: bool = False,
    ) -> Comparison:
        """Compare its checkpoints; the record itself is not part of what stays the same between versions."""
        return comparison_of(
            self.evidence,
            panel=self.panel.name,
            since=since,
            until=until,
            level=level,
            facts=self.panel.facts(),
            every_figure=every_figure,
            without_baseline=self.without_baseline,
        )

    def _of(self, checkpoint: str) -> Evidence:
        for one in self.evidence:
            if one.name == checkpoint:
                return one
        raise UsageError(f"there is no checkpoint '{checkpoint}'; there are {', '.join(self.checkpoints) or 'none'}")


def open_folder(directory: str | Path, *, as_it_is: bool = False) -> PanelFolder:
    """Read a panel folder.

    Args:
        directory: the folder that holds ``panel.toml``.
        as_it_is: count checkpoints too that are not as they were written; ``faults`` tells them either way.

    Raises:
        FileFault: a file of the panel has faults.
        UsageError: the folder is no panel folder.
        StorageFault: it cannot be read.
    """
    panel = load_panel(Path(directory))
    loaded = load_panel_evidence(Path(directory), as_it_is=as_it_is)
    return PanelFolder(panel, loaded.faults, loaded.checkpoints, loaded.without_baseline)


def columns(records: Iterable[Mapping[str, Cell]]) -> dict[str, list[Cell]]:
    """Turn records into columns of equal length, each by its name."""
    listed: Sequence[Mapping[str, Cell]] = [*records]
    names = dict.fromkeys(name for record in listed for name in record)
    return {name: [record.get(name) for record in listed] for name in names}


def _figure(evidence: Evidence, plain: Mapping[str, Any]) -> Record:
    low, high = plain["interval_95"]
    told = {key: plain[key] for key in ("name", "caption", "value", "unit", "u", "dof")}
    use = evidence.circumstances.use
    hours = {"hours": use.value, "hours_low_h": use.low, "hours_high_h": use.high}
    of = {"checkpoint": evidence.name, **hours, "date": evidence.circumstances.date}
    return {**of, **told, "low": low, "high": high, "limit": plain["limit"], "note": plain["note"]}


def _reach(record: Mapping[str, Any], end: str) -> float:
    return 0.0 if record[end] is None else abs(float(record[end]) - float(record["value"]))
