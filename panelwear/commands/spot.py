"""White point and peak luminance at the centre, in under two minutes of reading after warm-up."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from panelwear.commands.run_options import Said, add_run_arguments, inspect_as_asked

if TYPE_CHECKING:
    from panelwear.run.plan import SessionPlan
    from panelwear.run.session import Outcome


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    add_run_arguments(parser, sequence="spot")


def run(arguments: argparse.Namespace) -> int:
    """Run the short sequence and print one table beside the last checkpoint's."""
    return inspect_as_asked(arguments, table_lines)


def table_lines(plan: SessionPlan, outcome: Outcome) -> Said:
    """Lay the table of this session out; what is not as it was written heads it."""
    if not outcome.rows:
        return Said(["nothing was read"])
    from panelwear.figures.checkpoint import figures_of
    from panelwear.figures.load import evidence_of_session
    from panelwear.figures.tables import spot_table

    found = evidence_of_session(plan.panel.directory, outcome.checkpoint.name, outcome.session)
    lines = spot_table(figures_of(found.now), figures_of(found.last) if found.last is not None else None)
    head = [f"{fault}." for fault in found.faults]
    return Said([*head, *lines, f"stored in {outcome.checkpoint.directory}"], bool(found.faults))
