"""A shoot as a step of a run: by the response the run has measured, in its checkpoint, on its bench."""

from __future__ import annotations

from panelwear.camera.shoot_plan import plan_shoot
from panelwear.camera.shooting import Shooting, ShootJob
from panelwear.errors import FileFault
from panelwear.run.messages import Photograph
from panelwear.run.state import RunState
from panelwear.screen.bench import Bench
from sequences import errors, shoots


def photograph(bench: Bench, state: RunState, wanted: Photograph) -> str:
    """Go through a shooting list and return the name of the shoot.

    Raises:
        Stopped: the person stopped; what was taken is stored.
        FileFault: the list has faults.
    """
    try:
        source, listed = shoots.source_of(wanted.list_name)
    except errors.SequenceError as error:
        raise FileFault(error.problems) from None
    plan = plan_shoot(state.panel, state.resolver, listed.name, source, listed, poses=wanted.poses)
    return Shooting(bench, ShootJob(state.checkpoint, plan, state.unattended)).run().shoot
