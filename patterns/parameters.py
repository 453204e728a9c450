"""What a pattern may be asked for: each parameter's name, kind, default and range, and the check of a value."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from numbers import Real
from typing import Literal

from patterns.errors import PatternError
from patterns.frame import Codes, Rect

Kind = Literal["integer", "number", "choice", "flag", "codes", "rect", "point", "text", "integers"]
Value = object
"""int, float, str, bool, ``Codes``, ``Rect``, ``(x, y)``, tuple of int, or ``None`` (not given)."""


@dataclass(frozen=True, slots=True)
class Parameter:
    """One parameter of a pattern, as the sequence reader and the command line list and check it."""

    name: str
    kind: Kind
    summary: str
    """One line with the unit."""
    default: Value = None
    """``None``: not given, the summary says what then happens (or ``required``)."""
    required: bool = False
    low: float = -math.inf
    high: float = math.inf
    above_low: bool = False
    """The value must be greater than ``low``, not equal."""
    choices: tuple[str, ...] = ()

    @property
    def allowed(self) -> str:
        """Say in words what is allowed."""
        texts = {
            "choice": " or ".join(self.choices),
            "flag": "true or false",
            "codes": "three drive levels 0..255 (red, green, blue)",
            "rect": "[x, y, w, h] in whole pixels from the top left, w and h at least 1",
            "text": "text",
        }
        if self.kind in texts:
            return texts[self.kind]
        noun = {
            "integer": "a whole number",
            "number": "a number",
            "point": "two numbers (x, y)",
            "integers": "a list of whole numbers",
        }[self.kind]
        return noun + self._range()

    def _range(self) -> str:
        least = "greater than" if self.above_low else "at least"
        if math.isfinite(self.low) and math.isfinite(self.high):
            return f", {least} {self.low:g} and at most {self.high:g}"
        if math.isfinite(self.low):
            return f", {least} {self.low:g}"
        return f", at most {self.high:g}" if math.isfinite(self.high) else ""

    def check(self, value: Value) -> Value:
        """Return the value in its own type.

        Raises:
            PatternError: saying what is allowed.
        """
        if value is None and not self.required:
            return None
        try:
            return _READERS[self.kind](self, value)
        except (TypeError, ValueError, OverflowError) as fault:
            raise PatternError(f"{self.name} = {value!r} is not allowed: {self.allowed}") from fault

    def from_text(self, text: str) -> Value:
        """Read the value as typed on a command line (``0.5``, ``0.5,0.5``, ``true``, ``10,20,300,200``)."""
        if self.kind in {"choice", "text"}:
            return self.check(text)
        if self.kind == "flag":
            flags = {"true": True, "yes": True, "on": True, "1": True, "false": False, "no": False, "off": False}
            return self.check(flags.get(text.strip().lower(), False if text.strip() == "0" else text))
        try:
            numbers = tuple(_number_from(part) for part in text.replace(";", ",").split(","))
        except ValueError:
            return self.check(text)
        return self.check(numbers[0] if self.kind in {"integer", "number"} and len(numbers) == 1 else numbers)

    def inside(self, value: float) -> bool:
        """Whether a number lies in the range."""
        return (value > self.low if self.above_low else value >= self.low) and value <= self.high


def _number_from(text: str) -> int | float:
    try:
        return int(text)
    except ValueError:
        return float(text)


def check_codes(value: object, name: str = "codes") -> Codes:
    """Return three drive levels as floats.

    Raises:
        PatternError: when they are not three numbers 0..255.
    """
    try:
        if isinstance(value, str) or not isinstance(value, Sequence) or len(value) != 3:
            raise TypeError
        red, green, blue = (_real(v) for v in value)
        if not all(0 <= c <= 255 for c in (red, green, blue)):
            raise ValueError
    except (TypeError, ValueError) as fault:
        raise PatternError(f"{name} = {value!r} is not allowed: give three drive levels, 0..255") from fault
    return (red, green, blue)


def _real(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, Real):
        raise TypeError
    number = float(value)
    if not math.isfinite(number):
        raise ValueError
    return number


def _whole(value: object) -> int:
    number = _real(value)
    if not number.is_integer():
        raise TypeError
    return int(number)


def _several(value: object) -> Sequence[object]:
    if isinstance(value, str) or not isinstance(value, Sequence):
        raise TypeError
    return value


def _read_integer(parameter: Parameter, value: object) -> int:
    number = _whole(value)
    if not parameter.inside(number):
        raise ValueError
    return number


def _read_number(parameter: Parameter, value: object) -> float:
    number = _real(value)
    if not parameter.inside(number):
        raise ValueError
    return number


def _read_choice(parameter: Parameter, value: object) -> str:
    if value not in parameter.choices:
        raise ValueError
    return str(value)


def _read_flag(_parameter: Parameter, value: object) -> bool:
    if not isinstance(value, bool):
        raise TypeError
    return value


def _read_codes(parameter: Parameter, value: object) -> Codes:
    return check_codes(value, parameter.name)


def _read_rect(_parameter: Parameter, value: object) -> Rect:
    sides = (value.x, value.y, value.w, value.h) if isinstance(value, Rect) else tuple(_several(value))
    x, y, w, h = (_whole(side) for side in sides)
    if x < 0 or y < 0 or w < 1 or h < 1:
        raise ValueError
    return Rect(x, y, w, h)


def _read_point(parameter: Parameter, value: object) -> tuple[float, float]:
    x, y = (_real(part) for part in _several(value))
    if not (parameter.inside(x) and parameter.inside(y)):
        raise ValueError
    return (x, y)


def _read_text(_parameter: Parameter, value: object) -> str:
    if not isinstance(value, str):
        raise TypeError
    return value


def _read_integers(parameter: Parameter, value: object) -> tuple[int, ...]:
    numbers = tuple(_whole(part) for part in _several(value))
    if not numbers or not all(parameter.inside(number) for number in numbers):
        raise ValueError
    return numbers


_READERS: dict[str, Callable[[Parameter, object], Value]] = {
    "integer": _read_integer,
    "number": _read_number,
    "choice": _read_choice,
    "flag": _read_flag,
    "codes": _read_codes,
    "rect": _read_rect,
    "point": _read_point,
    "text": _read_text,
    "integers": _read_integers,
}
