"""The list of patterns: build one by name, or find out what it may be asked for."""

from __future__ import annotations

import difflib
from collections.abc import Callable
from dataclasses import dataclass

from patterns.errors import PatternError
from patterns.frame import BLACK, Codes, Frame
from patterns.parameters import Parameter, check_codes

LARGEST_SIDE_PX = 16384
WHITE: Codes = (255.0, 255.0, 255.0)


@dataclass(frozen=True, slots=True)
class Ground:
    """What every pattern is drawn from: the screen's pixels, the pattern's colour, the colour round it."""

    pattern: str
    width: int
    height: int
    codes: Codes
    background: Codes


@dataclass(frozen=True, slots=True)
class Entry:
    """One pattern of the registry."""

    name: str
    summary: str
    parameters: tuple[Parameter, ...]
    make: Callable[..., Frame]
    default_codes: Codes = WHITE
    """The colour when none is given; dim for what a person only has to find or read."""

    def parameter(self, name: str) -> Parameter:
        """Return one parameter.

        Raises:
            PatternError: naming the nearest one.
        """
        for parameter in self.parameters:
            if parameter.name == name:
                return parameter
        known = [parameter.name for parameter in self.parameters]
        allowed = f"it has {', '.join(known)}" if known else "it has none"
        raise PatternError(f"pattern {self.name} has no parameter {name!r}{_nearest(name, known)}; {allowed}")

    def check(self, given: dict[str, object]) -> dict[str, object]:
        """Return all parameters with their defaults, each in its own type.

        Raises:
            PatternError: for an unknown, missing or impossible one.
        """
        for name in given:
            self.parameter(name)
        values: dict[str, object] = {}
        for parameter in self.parameters:
            if parameter.required and given.get(parameter.name) is None:
                raise PatternError(f"pattern {self.name} needs {parameter.name}: {parameter.allowed}")
            value = given.get(parameter.name)
            try:
                values[parameter.name] = parameter.check(parameter.default if value is None else value)
            except PatternError as fault:
                raise PatternError(f"pattern {self.name}: {fault}") from fault
        return values


_ENTRIES: dict[str, Entry] = {}


def pattern(
    name: str, summary: str, *parameters: Parameter, default_codes: Codes = WHITE
) -> Callable[[Callable[..., Frame]], Callable[..., Frame]]:
    """Put a function ``(ground, **parameters) -> Frame`` into the registry under a name."""

    def keep(make: Callable[..., Frame]) -> Callable[..., Frame]:
        _ENTRIES[name] = Entry(name, summary, parameters, make, default_codes)
        return make

    return keep


def names() -> tuple[str, ...]:
    """Return the names of all patterns, in the order they are described in."""
    return tuple(_ENTRIES)


def entry(name: str) -> Entry:
    """Return what is known of a pattern.

    Raises:
        PatternError: naming the nearest one.
    """
    if name not in _ENTRIES:
        raise PatternError(f"no pattern {name!r}{_nearest(name, list(_ENTRIES))}; there are {', '.join(_ENTRIES)}")
    return _ENTRIES[name]


def build(  # noqa: D417 - the parameters are the pattern's own
    name: str,
    width: int,
    height: int,
    *,
    codes: Codes | None = None,
    background: Codes = BLACK,
    **parameters: object,
) -> Frame:
    """Build a pattern for a screen.

    Args:
        name: a name of ``names()``.
        width: the screen's own pixels across.
        height: the screen's own pixels down.
        codes: the pattern's colour in drive levels 0..255 (a fraction is a spatial mix); the pattern's own default
            when not given.
        background: the colour round it.

    Raises:
        PatternError: saying what is allowed.
    """
    known = entry(name)
    for word, side in (("width", width), ("height", height)):
        if isinstance(side, bool) or not isinstance(side, int) or not 1 <= side <= LARGEST_SIDE_PX:
            raise PatternError(f"{word} = {side!r} is not allowed: whole pixels, 1 to {LARGEST_SIDE_PX}")
    colour = known.default_codes if codes is None else check_codes(codes)
    ground = Ground(name, width, height, colour, check_codes(background, "background"))
    return known.make(ground, **known.check(parameters))


def _nearest(name: str, known: list[str]) -> str:
    close = difflib.get_close_matches(name, known, n=1, cutoff=0.5)
    return f" (did you mean {close[0]}?)" if close else ""
