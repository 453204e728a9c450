"""From a wanted level to drive levels, through a response; what is out of reach is said before anything is shown."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Protocol

from panelwear.panel.assumed import assumed_response
from panelwear.panel.curve import Curve
from panelwear.panel.response import ASSUMED, Response, response_from_json
from patterns.frame import Codes
from sequences.model import HUES, Level, Patch

__all__ = ["LevelResolver", "assumed_response", "check_reach", "hue_codes", "recall", "wanted_cd_m2"]

MIX_TOLERANCE = 0.005
"""A level this near beyond the end still counts as met when codes may be mixed."""


@dataclass(frozen=True, slots=True)
class Resolved:
    """A patch's level as drive levels."""

    codes: Codes
    target_cd_m2: float | None
    """The wanted luminance; ``None`` for a patch asked for by code."""
    level_basis: str
    """``code``, ``measured-response`` or ``assumed-response``: what stands in the CSV."""
    out_of_reach: bool = False
    """The level lies outside what the panel can show; ``codes`` are the nearest it can."""


class Resolver(Protocol):
    """Turns levels into codes through a response."""

    def resolve(self, patch: Patch) -> Resolved:
        """Find the codes for one patch; never raises for a level out of reach."""
        ...

    def learn(self, response: Response) -> None:
        """Use a response from now on; it replaces an older one of the same geometry."""
        ...

    def response_for(self, patch: Patch) -> tuple[Response, str]:
        """Return the response used for a patch and its ``level_basis``."""
        ...

    @property
    def has_measured(self) -> bool:
        """Whether a response was measured on this panel, however long ago."""
        ...


def wanted_cd_m2(level: Level, curve: Curve) -> float | None:
    """Return the luminance in cd/m² a level asks for on a curve; ``None`` for a level given as a code."""
    if level.basis == "cd_m2":
        return level.value
    if level.basis == "share_of_peak":
        return level.value * curve.peak_cd_m2
    if level.basis == "jnd":
        from panelwear.colorimetry.gsdf import jnd_levels

        steps = max(level.of_steps, 2)
        return float(jnd_levels(steps, curve.black_cd_m2, curve.peak_cd_m2)[int(level.value) - 1])
    return None


def hue_codes(hue: str, code: float) -> Codes:
    """Drive the channels of a hue at one code, the others at 0."""
    red, green, blue = (float(code * driven) for driven in HUES[hue])
    return (red, green, blue)


class LevelResolver:
    """Turns levels into codes through the response measured for the patch's geometry, else the nearest assumption."""

    def __init__(self, assumed: Response, measured: Iterable[Response] = ()) -> None:
        self._assumed = assumed
        self._measured: list[Response] = list(measured)

    @property
    def has_measured(self) -> bool:
        """Whether a response was measured on this panel, however long ago."""
        return bool(self._measured)

    def learn(self, response: Response) -> None:
        """Use a newly measured response from now on; it replaces an older one of the same geometry."""
        self._measured = [r for r in self._measured if r.geometry != response.geometry] + [response]

    def response_for(self, patch: Patch) -> tuple[Response, str]:
        """Return the response to use and how far it can be trusted (``level_basis``).

        One measured in another geometry is a better guess than an assumed one, but still only a guess.
        """
        for response in reversed(self._measured):
            if response.geometry.holds_for(patch.geometry, patch.background):
                return response, response.basis
        if self._measured:
            return self._measured[-1], ASSUMED
        return self._assumed, ASSUMED

    def resolve(self, patch: Patch) -> Resolved:
        """Find the codes for one patch; a level out of reach gets the nearest end and says so."""
        response, basis = self.response_for(patch)
        curve = response.curve(patch.hue)
        wanted = wanted_cd_m2(patch.level, curve)
        if wanted is None:
            code = min(max(patch.level.value, 0.0), 255.0)
            return Resolved(hue_codes(patch.hue, code), None, "code", out_of_reach=code != patch.level.value)
        code = curve.nearest_code(wanted, between_codes=patch.between_codes)
        return Resolved(hue_codes(patch.hue, code), wanted, basis, out_of_reach=_beyond(wanted, curve, patch))


def recall(resolver: Resolver, sessions: Iterable[Mapping[str, Any]], *, aged: bool = True) -> tuple[str, ...]:
    """Start from the newest responses stored with sessions of this panel.

    Args:
        resolver: what turns levels into codes.
        sessions: records of sessions, oldest first.
        aged: take them for assumptions, as the panel has aged since.

    Returns:
        One sentence for each stored response that is damaged and left out.
    """
    said = []
    for session in sessions:
        responses = session.get("response", {})
        if not isinstance(responses, Mapping):
            said.append(
                f"the responses stored {session.get('started_utc', 'earlier')} cannot be used: they are no table"
            )
            continue
        for geometry, stored in responses.items():
            try:
                response = response_from_json(stored)
            except ValueError as error:
                when = session.get("started_utc", "earlier")
                said.append(f"the response in {geometry} stored {when} cannot be used: {error}")
                continue
            told = f"{response.told} in an earlier session"
            resolver.learn(replace(response, basis=ASSUMED, told=told) if aged else response)
    return tuple(said)


def check_reach(patches: Iterable[Patch], response: Response | Resolver) -> tuple[str, ...]:
    """Say, one sentence a patch, which levels the panel cannot show; to be read before anything is shown."""
    sentences: dict[str, str] = {}
    for patch in patches:
        used, basis = (response, response.basis) if isinstance(response, Response) else response.response_for(patch)
        curve = used.curve(patch.hue)
        wanted = patch.level.value if patch.level.basis == "code" else wanted_cd_m2(patch.level, curve)
        if patch.level.basis == "code":
            if not 0 <= patch.level.value <= 255:
                sentences[patch.key] = f"{patch.key}: drive level {patch.level.value:g} is outside 0 to 255."
        elif wanted is not None and _beyond(wanted, curve, patch):
            end = "the brightest" if wanted > curve.peak_cd_m2 else "the darkest"
            sentences[patch.key] = (
                f"{patch.key}: {wanted:.4g} cd/m² is out of reach, {patch.hue} goes from {curve.black_cd_m2:.4g} to "
                f"{curve.peak_cd_m2:.4g} cd/m² ({basis}: {used.told}); {end} it has is shown instead."
            )
    return tuple(sentences.values())


def _beyond(wanted: float, curve: Curve, patch: Patch) -> bool:
    mixed = patch.between_codes
    over = MIX_TOLERANCE * curve.peak_cd_m2 if mixed else curve.quantum(255) / 2
    under = MIX_TOLERANCE * curve.black_cd_m2 if mixed else curve.quantum(0) / 2
    return not curve.black_cd_m2 - under <= wanted <= curve.peak_cd_m2 + over
