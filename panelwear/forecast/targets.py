"""What is asked for: ``clock-badge contrast 3 %``, ``peak 90 %``, ``blue 80 %``, ``white shift 0.004`` ...

A figure and a value, as a person would say them. A percentage of a luminance is what is kept of the baseline's; a
contrast is one against the zone's reference, brighter or darker; a shift of white is Δu'v' since the baseline.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from panelwear.errors import UsageError
from panelwear.telling.words import as_typed, enumerated

Kind = Literal["kept", "contrast", "visible", "shift"]

LIGHTS = {"peak": "white", "white": "white", "red": "red", "green": "green", "blue": "blue"}
"""What may be kept, and the figure of the comparison it is."""
LARGEST_SHIFT = 0.1
_NUMBER = re.compile(r"[0-9]+(?:[.,][0-9]+)?")
EXAMPLES = "'peak 90 %', 'blue 80 %', 'white shift 0.004', 'ZONE contrast 3 %', 'ZONE visible'"


@dataclass(frozen=True, slots=True)
class Target:
    """One thing that is asked for."""

    kind: Kind
    of: str
    """``white``, ``red``, ``green``, ``blue``, or a zone."""
    value: float
    """Share kept (0.9), contrast in %, or Δu'v'; 0 for visible."""
    text: str
    """As it is said back."""

    @property
    def series(self) -> tuple[str, ...]:
        """Names of the series of the trend that it is answered from."""
        if self.kind == "shift":
            return ("white.u_prime", "white.v_prime")
        return (f"{self.of}.Y",) if self.kind == "kept" else (f"zone/{self.of}",)


def target_of(said: str, zones: Sequence[str]) -> Target:
    """Read what is asked for.

    Args:
        said: in words.
        zones: of the panel.

    Raises:
        UsageError: it is nothing that can be asked for; near names and what there is are told.
    """
    typed = _plain(said).split()
    number, words = _value([one.lower() for one in typed], said)
    # A zone's, where the last word says what of it is asked for: as it was typed, for names may differ in case alone.
    name = " ".join(typed[: len(words) - 1])
    if words[-1:] == ["visible"]:
        if number is not None:
            raise UsageError(f"--until '{said}': 'visible' takes no number; for a contrast: 'ZONE contrast 3 %'")
        zone = _zone(name, zones, said)
        return Target("visible", zone, 0.0, f"{zone} visible")
    if words == ["white", "shift"]:
        if number is None or number[1] or not 0 < number[0] <= LARGEST_SHIFT:
            raise UsageError(
                f"--until '{said}': a shift of white is Δu'v', above 0 up to {LARGEST_SHIFT}, such as 0.004"
            )
        return Target("shift", "white", number[0], f"white shift {as_typed(number[0])}")
    if words[-1:] == ["contrast"]:
        zone = _zone(name, zones, said)
        if number is None or not 0 < number[0] < 100:
            raise UsageError(f"--until '{said}': a contrast is in %, between 0 and 100, such as '{zone} contrast 3 %'")
        return Target("contrast", zone, number[0], f"{zone} contrast {as_typed(number[0])} %")
    return _kept(words[:-1] if words[-1:] == ["luminance"] else words, number, said, zones)


def _kept(words: list[str], number: tuple[float, bool] | None, said: str, zones: Sequence[str]) -> Target:
    name = " ".join(words)
    if name not in LIGHTS:
        _unknown(name, zones, said)
    if number is None or not 0 < number[0] < 100:
        raise UsageError(f"--until '{said}': what is kept of a luminance is in %, between 0 and 100: '{name} 90 %'")
    return Target("kept", LIGHTS[name], number[0] / 100, f"{name} {as_typed(number[0])} %")


def _value(words: list[str], said: str) -> tuple[tuple[float, bool] | None, list[str]]:
    """Take the number at the end, and whether it is in %."""
    percent = words[-1:] == ["%"]
    rest = words[:-1] if percent else words
    if rest and _NUMBER.fullmatch(rest[-1]):
        return (float(rest[-1].replace(",", ".")), percent), rest[:-1]
    if percent:
        raise UsageError(f"--until '{said}': a number has to stand before the %, such as {EXAMPLES}")
    return None, rest


def _plain(words: str) -> str:
    """Return words with one blank between them, and before a %."""
    return " ".join(words.replace("%", " % ").split())


def named(name: str, zones: Sequence[str]) -> tuple[str, ...]:
    """Return the zone of that very name, else all whose names differ from it in case alone."""
    wanted = _plain(name)
    exact = tuple(zone for zone in zones if _plain(zone) == wanted)
    return exact or tuple(zone for zone in zones if _plain(zone).casefold() == wanted.casefold())


def _zone(name: str, zones: Sequence[str], said: str) -> str:
    found = named(name, zones)
    if len(found) == 1:
        return found[0]
    if found:
        meant = enumerated([f"'{zone}'" for zone in found], "or")
        raise UsageError(f"--until '{said}': {meant}? Write it as one of them")
    if not zones:
        raise UsageError(f"--until '{said}': this panel has no zones; 'panelwear zones' draws them")
    near = difflib.get_close_matches(name, zones, n=1)
    told = f"did you mean '{near[0]}'?" if near else f"there are {', '.join(zones)}"
    raise UsageError(f"--until '{said}': there is no zone '{name}'; {told}")


def _unknown(name: str, zones: Sequence[str], said: str) -> None:
    known = [*LIGHTS, "white shift", *(f"{zone} contrast" for zone in zones), *(f"{zone} visible" for zone in zones)]
    if found := named(name, zones):
        raise UsageError(f"--until '{said}': of a zone, say '{found[0]} contrast 3 %' or '{found[0]} visible'")
    near = difflib.get_close_matches(name, known, n=1)
    there = f"did you mean '{near[0]}'? " if near else ""
    told = f"zones: {', '.join(zones)}" if zones else "this panel has no zones"
    raise UsageError(f"--until '{said}': there is no figure '{name}'; {there}It can be {EXAMPLES}; {told}")


FIRST_KEPT = (0.9, 0.8, 0.7, 0.5)
"""Shares of luminance that are asked for where nothing is: the first that is not lost yet."""
CONTRASTS = (2.0, 3.0, 5.0, 10.0, 20.0, 50.0)
"""Contrasts in % that are asked for of a zone that is visible already: the first that is not reached yet."""
FIRST_SHIFT = 0.004
"""Δu'v' that is clearly visible side by side (common practice, no source)."""


def first_targets(zones: Sequence[str], kept: float | None, shifted: bool) -> tuple[Target, ...]:
    """Return what is answered where nothing is asked for.

    Args:
        zones: that were read.
        kept: share of white's luminance left now; ``None``: it was not read twice.
        shifted: whether white's colour was read.
    """
    found = []
    if kept is not None:
        share = next((one for one in FIRST_KEPT if one < kept), FIRST_KEPT[-1])
        found.append(Target("kept", "white", share, f"peak {as_typed(100 * share)} %"))
    if shifted:
        found.append(Target("shift", "white", FIRST_SHIFT, f"white shift {FIRST_SHIFT:g}"))
    return (*found, *(Target("visible", zone, 0.0, f"{zone} visible") for zone in zones))


def next_contrast(zone: str, percent: float) -> Target:
    """Return what is answered of a zone that is visible already, with the contrast it has."""
    value = next((one for one in CONTRASTS if one > abs(percent)), CONTRASTS[-1])
    return Target("contrast", zone, value, f"{zone} contrast {value:g} %")
