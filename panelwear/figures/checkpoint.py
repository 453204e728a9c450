"""All figures of one checkpoint.

Names are stable keys: ``peak``, ``peak/w10``, ``black``, ``contrast/sequential``, ``contrast/checkerboard``, ``gamma``,
``gamma/local/c64-c96``, ``white.Y .x .y .u_prime .v_prime .cct .duv .d65``, ``white/Y100/w10.x``, ``grey/c128.du_prime
.dv_prime .duv_prime .de2000 .de_itp``, ``red.Y .x .y .u_prime .v_prime`` (green, blue …), ``additivity``,
``uniformity/grey/c128.min_over_max .from_median .from_centre .spread .duv_prime .left_right``,
``zone/clock-badge/blue/c180.contrast .du_prime .dv_prime``, ``loading/w10``, ``stability.drift``, ``stability.noise``.

Components of uncertainty: ``repeatability``, ``placement``, ``placement offset``, ``drift``, ``resolution``, ``zero``,
``linearity``, ``aperture``, ``session scale``, ``session chromaticity``, ``calibration scale``, ``calibration
chromaticity``. The two of the calibration are the same at every checkpoint read with one calibration: they cancel over
time.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from groundwork.once import once
from panelwear.figures.evidence import Evidence, evidence_of
from panelwear.figures.left_out import in_words
from panelwear.figures.record_facts import RecordFacts
from panelwear.figures.registry import all_figures
from panelwear.readings.table import ReadingTable
from panelwear.telling.words import counted
from panelwear.uncertainty.estimate import Component, Estimate
from panelwear.uncertainty.meter import DEFAULTS, MeterTerms

ADDITIVE_WITHIN = 0.02
"""White may differ by this share from red + green + blue before a matrix is doubted (common practice, no source)."""
CANCEL_OVER_TIME = ("calibration scale", "calibration chromaticity")
"""Components that one meter with one calibration brings to every checkpoint alike."""


@dataclass(frozen=True, slots=True, eq=False)
class Figures(Mapping[str, Estimate]):
    """Every figure of a checkpoint by name, in the order they are told."""

    estimates: dict[str, Estimate]
    evidence: Evidence
    """What they were worked out from."""
    notes: tuple[str, ...] = ()
    """What a person should know of all of them, one sentence each."""

    def __getitem__(self, name: str) -> Estimate:
        return self.estimates[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self.estimates)

    def __len__(self) -> int:
        return len(self.estimates)

    def to_json(self) -> list[dict[str, object]]:
        """Return plain data for ``json``: one object a figure; what is not finite is ``None``."""
        return [_plain(e) for e in self.estimates.values()]


def figures_of(evidence: Evidence) -> Figures:
    """Work out every figure of one checkpoint that its readings allow; once for one evidence."""
    return once(evidence.memo, "figures", lambda: _figures_of(evidence))


def _figures_of(evidence: Evidence) -> Figures:
    found = [estimate for _, figure in all_figures() for estimate in figure(evidence)]
    estimates = {estimate.name: estimate for estimate in found}
    notes = (*_notes(evidence, estimates), *evidence.record.notes)
    return Figures(estimates, evidence, notes)


def of_checkpoint(
    table: ReadingTable,
    meter: MeterTerms = DEFAULTS,
    correction: NDArray[np.float64] | None = None,
    floor_cd_m2: float | None = None,
    record: RecordFacts | None = None,
) -> Figures:
    """Work out the figures of a table that stands alone; see ``evidence_of``."""
    return figures_of(evidence_of(table, meter, correction, floor_cd_m2, record))


def _notes(evidence: Evidence, estimates: Mapping[str, Estimate]) -> Iterator[str]:
    """Say what a person should know of all figures of a checkpoint, a sentence each."""
    if evidence.left_out:
        why = in_words(evidence.circumstances.left_out)
        yield f"{counted(evidence.left_out, 'reading')} could not be used ({why}); their rows say why."
    if evidence.means and not evidence.drift.segments:
        yield "Drift was not taken out: no reference patch was read twice in one visit."
    if evidence.means and not any(m.has_colour for m in evidence.means):
        yield "The probe gives luminance only: there are no figures of colour."
    sum_of_channels = estimates.get("additivity")
    if evidence.is_corrected and sum_of_channels is not None:
        away = abs(sum_of_channels.value - 1)
        if away > ADDITIVE_WITHIN and away > 2 * sum_of_channels.u:
            yield (
                f"White is {sum_of_channels.value:.3f} of red + green + blue: the channels do not just add, so the "
                "correction matrix is not exact for greys."
            )


def _plain(estimate: Estimate) -> dict[str, object]:
    from panelwear.uncertainty.coverage import interval

    low, high = interval(estimate) if math.isfinite(estimate.value) else (math.nan, math.nan)
    return {
        "name": estimate.name,
        "caption": estimate.caption,
        "value": _number(estimate.value),
        "unit": estimate.unit,
        "u": _number(estimate.u),
        "dof": _number(estimate.dof),
        "limit": estimate.limit,
        "interval_95": [_number(low), _number(high)],
        "note": estimate.note,
        "components": [_component(c) for c in estimate.components],
    }


def _component(component: Component) -> dict[str, object]:
    return {
        "name": component.name,
        "u": _number(component.u),
        "dof": _number(component.dof),
        "kind": component.kind,
        "note": component.note,
    }


def _number(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None
