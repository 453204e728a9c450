"""A number that a person tells, or the two it lies between."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from groundwork.tables import made_by, told
from panelwear.folder.hours import numbers_in
from panelwear.readings.records import text_of

_HOURS = re.compile(r"\d\s*h", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Amount:
    """From low to high; both alike where one number was told."""

    low: float
    high: float

    @property
    def mid(self) -> float:
        """The middle."""
        return (self.low + self.high) / 2

    @property
    def is_range(self) -> bool:
        """Whether two numbers were told."""
        return self.high > self.low

    @property
    def toml(self) -> str:
        """As it stands in ``usage.toml``."""
        return f"[{text_of(self.low)}, {text_of(self.high)}]" if self.is_range else text_of(self.low)

    def words(self, unit: str = "") -> str:
        """Return "8 h" or "7 to 9 h"."""
        said = f"{self.low:g} to {self.high:g}" if self.is_range else f"{self.low:g}"
        return f"{said} {unit}".rstrip()

    def times(self, factor: float) -> Amount:
        """Return both ends multiplied."""
        return Amount(self.low * factor, self.high * factor)

    def at(self, end: str) -> float:
        """Return one end, ``low``, ``mid`` or ``high``."""
        return {"low": self.low, "mid": self.mid, "high": self.high}[end]


def amount(low: float, high: float, unit: str = "", *, above: bool = False) -> dict[str, Any]:
    """Make the metadata of a key that takes a number, or a list of two, within limits.

    Args:
        low: least that is allowed.
        high: most that is allowed.
        unit: of the number.
        above: ``low`` itself is not allowed.
    """
    within = f"{'above ' if above else ''}{low:g} to {high:g} {unit}".rstrip()
    wanted = f"a number ({within}) or a list of two, the least and the most"

    def parse(value: Any, _: Any) -> Amount:
        ends = value if isinstance(value, list) else [value]
        if len(ends) not in (1, 2) or any(type(one) not in (int, float) for one in ends):
            raise ValueError(f"expected {wanted}, got {told(value)}")
        for one in ends:
            # NaN is caught too: it is neither below nor above anything.
            if not low <= one <= high or (above and one == low):
                raise ValueError(f"{text_of(one)} is out of range; allowed: {within}")
        if ends[0] > ends[-1]:
            raise ValueError(f"{told(value)}: the smaller number comes first")
        return Amount(float(ends[0]), float(ends[-1]))

    return made_by(parse, object, wanted)


def amount_reader(low: float, high: float, unit: str = "", *, above: bool = False) -> Callable[[str], Amount]:
    """Make a reader of the same as typed text: ``8``, ``7-9``, ``7 to 9 h``, ``40 %``; ``ValueError`` in a sentence."""
    parse: Callable[[Any, Any], Amount] = amount(low, high, unit, above=above)["parse"]
    of_unit = f", in {unit}" if unit else ""
    percents = (high, unit) == (1, "")

    def read(text: str) -> Amount:
        plain = " ".join(text.split())
        share = percents and plain.endswith("%")
        bare = _without_unit(plain, "%" if share else unit)
        found = numbers_in(bare, 100 * high if share else high)
        if found is None:
            # Below zero, endless, none: the limits are what is to be said of them.
            found = (_other_number(bare, f"'{plain}' is not a number or a range such as 7-9{of_unit}"),)
        try:
            return parse([one / 100 if share else one for one in found], None)
        except ValueError as error:
            raise ValueError(f"{error}, or with a percent sign" if percents and not share else str(error)) from None

    return read


def _without_unit(plain: str, unit: str) -> str:
    """Take the unit away behind a range and behind its first number; another unit makes it no number."""
    for spelled in (unit, unit.replace("²", "2")):
        if spelled and spelled != "h" and plain.endswith(spelled):
            return " ".join(plain.replace(spelled, " ").split())
    # Hours are known to what reads the numbers; of anything else they are no unit.
    return plain if unit == "h" or not _HOURS.search(plain) else f"{plain} ?"


def _other_number(text: str, sentence: str) -> float:
    try:
        return float(text.replace("_", "?"))
    except ValueError:
        raise ValueError(sentence) from None
