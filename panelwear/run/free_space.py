"""How much a planned session may write, and whether the disk has room for it."""

from __future__ import annotations

from panelwear.folder.checkpoint import READINGS, folders_of
from panelwear.folder.space import bytes_of_run, refuse_without_room
from panelwear.run.plan import SessionPlan


def refuse_without_room_for(plan: SessionPlan, *, resume: bool = False) -> None:
    """Raise ``StorageFault`` where the disk has too little room for a session; nothing is opened or written.

    Args:
        plan: what is to be done.
        resume: it goes on with rows that are there, some of which are copied beside.
    """
    from sequences import estimate

    readings = estimate.plan(plan.steps, plan.facts).readings
    directory = plan.panel.directory
    paths = [folder / READINGS for folder in folders_of(directory)] if resume else []
    stored = max((path.stat().st_size for path in paths if path.exists()), default=0)
    refuse_without_room(directory, bytes_of_run(readings, stored))
