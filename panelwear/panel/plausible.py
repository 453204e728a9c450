"""Is a luminance plausible for what is shown? Tells a probe that lies elsewhere, fell, or is covered."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

Verdict = Literal["plausible", "too dark", "black", "too bright"]

KNOWN = (0.7, 1.4)
"""Where the same light was read before at this place, or the response of this geometry is measured or recalled."""
ELSEWHERE = (0.5, 2.0)
"""The same light was read at another place: zones wear and edges fall off (common practice, no source)."""
OTHER_GEOMETRY = (0.1, 3.0)
"""The response is of another window: a limiter may cut a field to a tenth (common practice, no source)."""
STATED = (0.1, 5.0)
"""Nothing was read yet: the peak and gamma stated in ``panel.toml``, at white."""
UNSTATED = (0.02, math.inf)
"""Not even a peak is stated: only black where light is due is told."""
BLACK_SHARE = 0.02
"""Less than this share of the light that is due is called black."""
WIDER_IN_THE_DARK = 0.3
"""A gate of an assumed gamma widens by the share of peak to this power: gamma 1.6 to 2.9 around 2.2."""
ROOM_CD_M2 = 1.0
"""Room light a probe on the glass may see that an earlier session's black did not hold (common practice, no source)."""
SAME_ROOM_CD_M2 = 0.2
"""The same inside one session."""
DARK_CD_M2 = 0.02
"""What a probe may read too little near black while its noise is not known (common practice, no source)."""
NOISES = 6.0
"""Near black the gate is at least so many standard deviations of one reading wide."""
CONFIRMED = 2
"""So many readings in a row on one side of the gate stop a run."""
AT_MOST = 3
"""So many implausible readings stop it whatever their sides."""


@dataclass(frozen=True, slots=True)
class Expected:
    """The light that is due, and how far a reading may lie from it."""

    cd_m2: float
    low: float
    """Smallest plausible share of it."""
    high: float
    """Largest plausible share of it."""
    room_cd_m2: float
    """Light that may come on top."""
    told: str
    """What it rests on, in words."""
    of_earlier_session: bool = False
    """It rests on the response of an earlier session, which knows nothing of a brightness changed since."""


def judge(expected: Expected, measured_cd_m2: float, noise_cd_m2: float = 0.0) -> Verdict:
    """Tell whether a reading can be the light that is due.

    Args:
        expected: What is due.
        measured_cd_m2: What was read.
        noise_cd_m2: Standard deviation of one reading at the light that is due; 0: not known.

    Returns:
        ``black`` for a reading with next to nothing of light that is due, else on which side it lies outside the gate.
    """
    spread = NOISES * noise_cd_m2 if noise_cd_m2 > 0 else DARK_CD_M2
    if measured_cd_m2 > expected.high * expected.cd_m2 + max(expected.room_cd_m2, spread):
        return "too bright"
    if measured_cd_m2 < expected.low * expected.cd_m2 - spread:
        return "black" if measured_cd_m2 < BLACK_SHARE * expected.cd_m2 else "too dark"
    return "plausible"


def stops(odd: Sequence[Verdict]) -> bool:
    """Tell whether implausible readings of one patch, in order, are confirmed."""
    sides = [verdict == "too bright" for verdict in odd]
    return len(odd) >= AT_MOST or sides[-CONFIRMED:].count(sides[-1]) == CONFIRMED


def from_stated(cd_m2: float, peak_cd_m2: float, *, stated: bool) -> Expected:
    """Expect what the panel's stated peak and assumed gamma say: a wide gate, wider in the dark."""
    low, high = STATED if stated else UNSTATED
    share = min(1.0, max(cd_m2 / peak_cd_m2, 1e-6))
    wider = share**-WIDER_IN_THE_DARK
    told = "the peak and gamma stated for this panel" if stated else "an assumed peak and gamma"
    return Expected(cd_m2, low / wider, high * wider, ROOM_CD_M2, told)


def from_response(cd_m2: float, *, same_geometry: bool, told: str) -> Expected:
    """Expect what a response measured in this or an earlier session says."""
    low, high = KNOWN if same_geometry else OTHER_GEOMETRY
    return Expected(cd_m2, low, high, ROOM_CD_M2, f"the response ({told})")


def from_readings(cd_m2: Iterable[float], *, same_place: bool) -> Expected:
    """Expect what the same light read before in this session."""
    values = sorted(cd_m2)
    low, high = KNOWN if same_place else ELSEWHERE
    where = "here" if same_place else "at another place"
    told = f"the same patch read {where} in this session"
    return Expected(values[len(values) // 2], low, high, SAME_ROOM_CD_M2 if same_place else ROOM_CD_M2, told)
