"""All figures of the newest checkpoints and the baseline, with what their uncertainty is made of."""

from __future__ import annotations

from panelwear.report.content import ReportTable, Section, number, text
from panelwear.report.formatting import told
from panelwear.report.inputs import Inputs, Inspected
from panelwear.uncertainty.estimate import Estimate


def section(inputs: Inputs) -> Section:
    """Return one folded table each for the newest checkpoint, the one before it and the baseline."""
    shown = dict.fromkeys([*reversed(inputs.inspected[-2:]), inputs.first])
    tables = tuple(_table(one) for one in shown)
    points = tuple(
        f"{one.said}: {note}" for one in shown for note in one.figures.notes if note not in one.evidence.record.notes
    )
    return Section("figures", "All figures", points=points, folded=tables)


def _table(one: Inspected) -> ReportTable:
    columns = (text("Figure"), number("Value ± 95 %"), text("Largest uncertainties"), text("Note"))
    rows = tuple((e.caption or e.name, told(e), _uncertainties(e), e.note) for e in one.figures.values())
    return ReportTable(f"Figures at {one.use.words}, {one.date}", columns, rows)


def _uncertainties(estimate: Estimate) -> str:
    """Return the two largest parts of the variance with their shares."""
    total = sum(c.u**2 for c in estimate.components)
    if not total > 0:
        return ""
    largest = sorted(estimate.components, key=lambda c: -c.u)[:2]
    return ", ".join(f"{c.name} {c.u**2 / total:.0%}" for c in largest if c.u**2 / total >= 0.005)
