"""What a rehearsal came to: the figures and verdicts of its panel folder, beside the truth that was put in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from panelwear.compare.comparing import comparison_of
from panelwear.compare.comparison import Comparison, Pair
from panelwear.figures.checkpoint import figures_of
from panelwear.figures.evidence import Evidence
from panelwear.uncertainty.estimate import Estimate
from sequences.model import PanelFacts


@dataclass(frozen=True, slots=True, eq=False)
class RehearsalResult:
    """Checkpoints with readings, oldest first, their comparison, and the true values at each."""

    checkpoints: tuple[Evidence, ...]
    comparison: Comparison | None
    """``None`` without readings."""
    true_values: tuple[Mapping[str, Any], ...]
    """One a checkpoint, as ``true-values.json`` has them."""

    def figure(self, name: str) -> list[tuple[float, Estimate]]:
        """Return a figure of each checkpoint that has it, with the hours."""
        found = [(e.hours, figures_of(e).get(name)) for e in self.checkpoints]
        return [(hours, estimate) for hours, estimate in found if estimate is not None]

    @property
    def since_baseline(self) -> Pair | None:
        """The newest checkpoint against the first; ``None`` where there is one alone."""
        return self.comparison.pairs[0] if self.comparison is not None and self.comparison.pairs else None

    def true_change(self, zone: str) -> float:
        """Return the true change of a zone against its reference at the end, in %, mean over the greys that were read.

        ``nan`` of a zone that nothing was put in of.
        """
        pair = self.since_baseline
        read = next((z.colours for z in pair.zones if z.zone == zone), ()) if pair is not None else ()
        true = self.true_values[-1]["zone_change"].get(zone, {}).get("grey", {})
        there = [true[colour.level] for colour in read if colour.hue == "grey" and colour.level in true]
        return 100 * sum(there) / len(there) if there else float("nan")


def result_of(
    checkpoints: Sequence[Evidence], facts: PanelFacts, true_values: Sequence[Mapping[str, Any]]
) -> RehearsalResult:
    """Compare the checkpoints of a rehearsal as ``compare`` does and set the truth beside them."""
    by_name = {str(true["checkpoint"]): true for true in true_values}
    read = tuple(e for e in checkpoints if e.stored)
    comparison = comparison_of(read, facts=facts) if read else None
    return RehearsalResult(read, comparison, tuple(by_name[e.name] for e in read))
