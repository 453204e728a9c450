"""A panel's checkpoints made ready for the report: figures of each, each against the baseline, and the comparison."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from panelwear.camera.showing.views import View
from panelwear.camera.wear.findings import PhotographPair
from panelwear.compare.comparing import comparison_of
from panelwear.compare.comparison import Comparison, Pair
from panelwear.compare.differences import Comparability, compare_circumstances
from panelwear.compare.pairing import Pairing, paired
from panelwear.compare.trend import FigureHistory
from panelwear.figures.checkpoint import Figures, figures_of
from panelwear.figures.evidence import Evidence, put_together
from panelwear.folder.hours import HoursOfUse
from panelwear.folder.panel import Panel
from panelwear.usage.told import UsageTold


@dataclass(frozen=True, slots=True, eq=False)
class Since:
    """A checkpoint against the baseline."""

    pairing: Pairing
    how: Comparability


@dataclass(frozen=True, slots=True, eq=False)
class Inspected:
    """One checkpoint with readings."""

    evidence: Evidence
    since: Since | None
    """``None`` for the baseline."""
    said: str
    """What it is called in legends and heads; no two checkpoints of a report have the same."""

    @property
    def figures(self) -> Figures:
        """All figures of it."""
        return figures_of(self.evidence)

    @property
    def use(self) -> HoursOfUse:
        """Hours of use with how they are known."""
        return self.evidence.circumstances.use

    @property
    def hours(self) -> float:
        """Hours of use."""
        return self.evidence.hours

    @property
    def date(self) -> str:
        """Day it was begun, ISO 8601."""
        return self.evidence.circumstances.date


@dataclass(frozen=True, slots=True, eq=False)
class Inputs:
    """Everything a report is made of."""

    panel: Panel
    checkpoints: tuple[Evidence, ...]
    """All checkpoints, oldest first; those of the eye alone have no readings."""
    inspected: tuple[Inspected, ...]
    """Those with readings."""
    comparison: Comparison | None
    """``None`` when nothing was read; one checkpoint alone has no pairs in it."""
    photographs: tuple[PhotographPair, ...] = ()
    """What photographs of two checkpoints say."""
    views: tuple[View, ...] = ()
    """Maps made of photographs as they are shown; of one checkpoint alone too."""
    usage: UsageTold | None = None
    """What was told of usage, with the doses; ``None`` where it was not looked for or cannot be read."""

    @property
    def first(self) -> Inspected:
        """The baseline."""
        return self.inspected[0]

    @property
    def last(self) -> Inspected:
        """The newest."""
        return self.inspected[-1]

    @property
    def pairs(self) -> tuple[Pair, ...]:
        """Since the baseline, then since last time; none with one checkpoint."""
        return self.comparison.pairs if self.comparison is not None else ()

    def trend(self, name: str) -> FigureHistory | None:
        """Return a figure over the hours, from the baseline on."""
        listed = self.comparison.trend if self.comparison is not None else ()
        return next((one for one in listed if one.name == name), None)


def inputs_of(panel: Panel, checkpoints: Sequence[Evidence], photographed: Collection[str] = ()) -> Inputs:
    """Work out everything a report is made of, by pure functions of the readings.

    Args:
        panel: as its folder describes it.
        checkpoints: all that count.
        photographed: names of those with maps made of photographs, which count without readings and marks too.
    """
    ordered = put_together([c for c in checkpoints if not c.is_empty or c.name in photographed])
    read = [c for c in ordered if c.stored]
    said = _said(read)
    inspected = tuple(Inspected(e, _since(read[0], e) if i else None, said[i]) for i, e in enumerate(read))
    comparison = comparison_of(read, panel=panel.name, facts=panel.facts()) if read else None
    return Inputs(panel, ordered, inspected, comparison)


def _said(read: Sequence[Evidence]) -> list[str]:
    """Name checkpoints by their hours; where these are not enough by the day too, and where that is not, by name."""
    by_hours = [r.circumstances.use.words for r in read]
    by_day = [f"{r.circumstances.use.words}, {r.circumstances.date}" for r in read]
    for names in (by_hours, by_day):
        if len(set(names)) == len(names):
            return names
    return [r.name for r in read]


def _since(baseline: Evidence, one: Evidence) -> Since:
    how = compare_circumstances(baseline.circumstances, one.circumstances)
    return Since(paired(baseline, one, how), how)
