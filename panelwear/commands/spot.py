"""White point and peak luminance at the centre, in under two minutes of reading after warm-up."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from panelwear.commands.run_options import Said, add_run_arguments, inspect_as_asked, session_data, stored_in
from panelwear.telling.parts import Prose, paragraphs

if TYPE_CHECKING:
    from panelwear.run.plan import SessionPlan
    from panelwear.run.session import Outcome


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    add_run_arguments(parser, sequence="spot")


def run(arguments: argparse.Namespace) -> int:
    """Run the short sequence and print one table beside the last checkpoint's."""
    return inspect_as_asked(arguments, spot_of_session)


def spot_of_session(plan: SessionPlan, outcome: Outcome) -> Said:
    """Lay the table of this session out; what is not as it was written heads it."""
    if not outcome.rows:
        return Said([Prose("nothing was read")], session_data(outcome, None))
    from panelwear.figures.checkpoint import figures_of
    from panelwear.figures.load import evidence_of_session
    from panelwear.figures.tables import spot_table

    found = evidence_of_session(plan.panel.directory, outcome.checkpoint.name, outcome.session)
    figures, last = figures_of(found.now), figures_of(found.last) if found.last is not None else None
    head = paragraphs(*(f"{fault}." for fault in found.faults))
    before = {"checkpoint": found.last.name, "figures": last.to_json()} if found.last and last is not None else None
    data = {"faults": list(found.faults), **session_data(outcome, figures), "last": before}
    return Said([*head, *spot_table(figures, last), *stored_in(outcome)], data, bool(found.faults))
