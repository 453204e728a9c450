"""White point and peak luminance at the centre, in under two minutes of reading after warm-up."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from panelwear.folder.panel import Panel
    from panelwear.run.plan import Plan
    from panelwear.run.session import Outcome
    from panelwear.uncertainty.estimate import Estimate


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    from panelwear.run.plan import add_run_arguments

    add_run_arguments(parser, sequence="spot")


def run(arguments: argparse.Namespace) -> int:
    """Run the short sequence and print one table beside the last checkpoint's."""
    from panelwear.run.plan import carry_out

    return carry_out(arguments, print_table)


def print_table(plan: Plan, outcome: Outcome) -> None:
    """Print the table of this session."""
    for line in table_lines(plan, outcome):
        print(line)


def _previous(panel: Panel, outcome: Outcome) -> dict[str, Estimate] | None:
    """Figures of the checkpoint before this one, where it has any."""
    from panelwear.folder import checkpoint
    from panelwear.run.plan import figures_of

    earlier = [c for c in checkpoint.all_of(panel.directory) if c.name != outcome.checkpoint.name and c.rows()]
    if not earlier:
        return None
    last = earlier[-1]
    return dict(figures_of(panel, last.table(), last.record, last.rows()))


def table_lines(plan: Plan, outcome: Outcome) -> list[str]:
    """Lay the table of this session out."""
    from panelwear.figures.tables import spot_table
    from panelwear.run.plan import figures_of_session

    if not outcome.rows:
        return ["nothing was read"]
    lines = spot_table(figures_of_session(plan.panel, outcome), _previous(plan.panel, outcome))
    return [*lines, f"stored in {outcome.checkpoint.directory}"]
