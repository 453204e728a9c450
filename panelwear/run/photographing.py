"""Photographs within a run: what takes them is passed in, for it stands above the run."""

from __future__ import annotations

from panelwear.errors import UsageError
from panelwear.run.messages import Photograph
from panelwear.run.state import RunState
from panelwear.screen.bench import Bench


def photographed(bench: Bench, state: RunState, wanted: Photograph) -> str:
    """Go through a shooting list, or go on with the one that was interrupted; returns the name of the shoot.

    Raises:
        Stopped: the person stopped; what was taken is stored.
        UsageError: nothing that photographs was passed in.
    """
    if bench.photographer is None:
        raise UsageError("this run cannot photograph; leave its shoot steps out")
    return bench.photographer(bench, state, wanted)
