"""After a missing answer, where no question proves the line in step: read a patch that is known and clearly another.

An old answer that comes late is then not taken for the control's: the control's light is so different from all that
was read of late that none of those answers could be its own.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable
from dataclasses import replace
from typing import Any

from panelwear.errors import ProbeFault
from panelwear.panel.resolve import Resolved, Resolver
from panelwear.readings.row import Row
from panelwear.run.messages import Message, Tell
from panelwear.run.state import RunState
from sequences.model import Level, Patch

CONTROL = "control"
"""Group and purpose of its rows: no figure is made of them."""
CODES = (48.0, 80.0, 112.0, 144.0, 176.0, 0.0)
"""Greys to choose from, the dimmest first; black last, which many meters read slowly."""
FACTOR_MEASURED = 1.4
FACTOR_ASSUMED = 2.0
"""A control is as known when it reads within this factor of what the response says (common practice, no source)."""
LEAST_CD_M2 = 0.05
"""Added to both sides: a factor says nothing of two readings near black."""
OF_LATE = 6
"""So many readings back an answer can be under way."""
TRIES = 3
ControlReader = Callable[[Patch, Resolved, int], Generator[Message, Any, Row | None]]
"""Shows a patch with its codes and takes one reading of it."""


def choose(resolver: Resolver, patch: Patch, of_late_cd_m2: Iterable[float]) -> tuple[Patch, Resolved, float]:
    """Choose a control that stands clear of everything read of late.

    Args:
        resolver: Knows the panel's response.
        patch: Its pattern and place are the control's.
        of_late_cd_m2: Luminances that a late answer may hold.

    Returns:
        The patch, its codes with the luminance known of it, and the factor within which it is to read.
    """
    response, basis = resolver.response_for(patch)
    within = FACTOR_ASSUMED if basis == "assumed-response" else FACTOR_MEASURED
    others = [*of_late_cd_m2]
    known = {code: response.luminance("grey", code) for code in CODES}
    clear = {code: min((_factor(Y, other) for other in others), default=within**2) for code, Y in known.items()}
    code = next((code for code in CODES if clear[code] >= within**2), max(CODES, key=clear.__getitem__))
    control = replace(patch, group=CONTROL, purpose=CONTROL, hue="grey", level=Level("code", code))
    # Where nothing stands clear by so much, what is left between the two is shared.
    return control, Resolved((code,) * 3, known[code], "code"), min(within, clear[code] ** 0.5)


def _factor(one_cd_m2: float, other_cd_m2: float) -> float:
    low, high = sorted((max(0.0, one_cd_m2) + LEAST_CD_M2, max(0.0, other_cd_m2) + LEAST_CD_M2))
    return high / low


def of_late(state: RunState, resolved: Resolved, patch: Patch) -> list[float]:
    """Return the luminances an answer under way may hold: of the last readings, and of the patch that is read."""
    found = [row.Y_cd_m2 for row in state.rows[-OF_LATE:] if row.Y_cd_m2 is not None]
    return [*found, state.resolver.response_for(patch)[0].luminance(patch.hue, max(resolved.codes))]


def prove_line(state: RunState, patch: Patch, resolved: Resolved, read: ControlReader) -> Generator[Message, Any, None]:
    """Read the control; when it reads as known the line is in step, and the patch is put up and settled anew.

    Each try takes another control: on a line that is one answer behind, the second reading of the same one would read
    as the first was meant to.

    Raises:
        ProbeFault: it does not, three times over.
    """
    under_way = of_late(state, resolved, patch)
    wanted, got = 0.0, "nothing"
    for number in range(1, TRIES + 1):
        control, known, within = choose(state.resolver, patch, under_way)
        wanted = known.target_cd_m2 or 0.0
        yield Tell(f"an answer was missing: a known grey of {wanted:.3g} cd/m² is read before anything is believed")
        row = yield from read(control, replace(known, target_cd_m2=None), number)
        if row is None:
            break
        got = f"{row.Y_cd_m2 or 0.0:.3g} cd/m²"
        if _factor(row.Y_cd_m2 or 0.0, wanted) <= within:
            state.line, state.unproved, state.resettle = "proved", False, True
            return
        state.line = "lost"
        under_way += [wanted, row.Y_cd_m2 or 0.0]
    raise ProbeFault(
        f"the meter's answers do not follow the screen: a grey of {wanted:.3g} cd/m² read {got}; what was read is "
        "stored: look at the probe and its cable, then 'panelwear resume'"
    )
