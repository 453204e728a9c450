"""Tables of a checkpoint for other programs: its figures and its patches, every column with unit and meaning."""

from __future__ import annotations

import math
from collections.abc import Sequence

from panelwear.compare.tables import HOURS_BETWEEN, Columns, CsvColumn, CsvTable, plain
from panelwear.figures.checkpoint import figures_of
from panelwear.figures.evidence import Evidence
from panelwear.figures.means import Mean
from panelwear.uncertainty.coverage import interval

FIGURES = (
    ("checkpoint", "", "name of the checkpoint's folder"),
    ("hours", "h", "hours of use; where they are estimated within a range, its middle"),
    *HOURS_BETWEEN,
    ("date", "", "day it was begun, ISO 8601"),
    ("figure", "", "stable key (docs/figures.md)"),
    ("caption", "", "what a person calls it"),
    ("value", "row", "value, in unit"),
    ("unit", "", "unit of value, u, low and high"),
    ("u", "row", "standard uncertainty"),
    ("dof", "1", "its effective degrees of freedom; empty: infinitely many"),
    ("low", "row", "lower end of the 95 % interval"),
    ("high", "row", "upper end"),
    ("bound", "", "< or > where the value is a bound"),
    ("note", "", "what is to be said with it"),
)
PATCHES = (
    ("patch", "", "key: group/place/hue/level/geometry"),
    ("purpose", "", "what it is read for"),
    ("place", "", "where the probe sat"),
    ("red", "1", "drive level of red, 0 to 255"),
    ("green", "1", "drive level of green"),
    ("blue", "1", "drive level of blue"),
    ("lit_share", "1", "share of the screen's area that is not background"),
    ("readings", "1", "how many usable readings it is the mean of"),
    ("X_cd_m2", "cd/m²", "mean tristimulus X, matrix applied and drift taken out; empty for luminance meters"),
    ("Y_cd_m2", "cd/m²", "mean luminance, likewise"),
    ("Z_cd_m2", "cd/m²", "mean tristimulus Z, likewise; empty for luminance meters"),
    ("u_Y_cd_m2", "cd/m²", "standard uncertainty of Y from repeatability alone; empty where nothing was read twice"),
    ("flags", "", "what must be said with it"),
)


def figures_table(*checkpoints: Evidence) -> CsvTable:
    """Return every figure of some checkpoints, a row each, with all digits."""
    each = [row for evidence in checkpoints for row in _figures(evidence)]
    return table_of("figures", "Every figure", FIGURES, each)


def _figures(evidence: Evidence) -> list[tuple[object, ...]]:
    rows: list[tuple[object, ...]] = []
    use = evidence.circumstances.use
    for e in figures_of(evidence).values():
        low, high = interval(e) if math.isfinite(e.value) else (math.nan, math.nan)
        rows.append(
            (evidence.name, use.value, use.low, use.high, evidence.circumstances.date, e.name, e.caption, e.value,
             e.unit, e.u, e.dof, low, high, e.limit, e.note)
        )  # fmt: skip
    return rows


def patches_table(evidence: Evidence) -> CsvTable:
    """Return every patch of a checkpoint as figures see it, a row each, in the order of reading."""
    return table_of("patches", "Every patch, as figures see it", PATCHES, [_patch(mean) for mean in evidence.means])


def _patch(mean: Mean) -> tuple[object, ...]:
    X, Y, Z = mean.XYZ.tolist()
    colour = (X, Y, Z) if mean.has_colour else (math.nan, Y, math.nan)
    told_u = mean.u_Y if mean.dof > 0 else math.nan
    return (
        mean.key, mean.purpose, mean.place, *mean.codes, mean.lit_share, mean.n, *colour, told_u,
        " ".join(mean.flags),
    )  # fmt: skip


def table_of(name: str, caption: str, columns: Columns, rows: Sequence[Sequence[object]]) -> CsvTable:
    """Make a table that keeps all digits, for whoever goes on calculating."""
    made = tuple(CsvColumn(*c) for c in columns)
    return CsvTable(name, caption, made, tuple(tuple(plain(cell) for cell in row) for row in rows))
