"""What a run that is broken off says: how many readings are stored, and how it is gone on with."""

from __future__ import annotations

import shlex

from groundwork.documents import printable
from panelwear.errors import PanelwearError, ProbeFault, Stopped
from panelwear.probe_border import translated
from panelwear.telling.words import counted, verb
from probe_io.errors import ProbeError


def ended_by(error: PanelwearError | ProbeError, folder: str, stored: int) -> PanelwearError:
    """Return the error to raise: of a stop, and of a probe that is gone, with the way to go on.

    Args:
        error: What broke the run off.
        folder: The panel folder.
        stored: How many readings of the session are stored.
    """
    known = translated(error) if isinstance(error, ProbeError) else error
    if not isinstance(known, Stopped | ProbeFault):
        return known
    sentence = str(known).removesuffix(", then 'panelwear resume'")
    command = f"panelwear resume {shlex.quote(printable(folder))}"
    kept = f"{counted(stored, 'reading')} {verb(stored, 'is')} stored"
    return type(known)(f"{sentence}; '{command}' goes on, {kept}")
