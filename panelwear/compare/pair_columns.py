"""The columns that say which pair of checkpoints a row belongs to, the same in every table of pairs."""

from __future__ import annotations

from typing import Protocol

from panelwear.compare.comparison import End


class TwoEnds(Protocol):
    """Whatever stands between two checkpoints."""

    @property
    def since(self) -> str:
        """Why these two."""

    @property
    def before(self) -> End:
        """The earlier one."""

    @property
    def after(self) -> End:
        """The later one."""


ENDS = (
    ("from", "", "earlier checkpoint"),
    ("to", "", "later checkpoint"),
    ("from_h", "h", "hours of use of the earlier one; where they are estimated within a range, its middle"),
    ("to_h", "h", "hours of use of the later one, likewise"),
    ("from_low_h", "h", "the least from_h can be; from_h itself unless it is a range"),
    ("from_high_h", "h", "the most it can be"),
    ("to_low_h", "h", "the least to_h can be, likewise"),
    ("to_high_h", "h", "the most it can be"),
)
"""Which two; before them stands why these."""
PAIR = (("since", "", "baseline, last or chosen"), *ENDS)


def ends_of(pair: TwoEnds) -> tuple[object, ...]:
    """Return the cells of a pair."""
    was, now = pair.before.use, pair.after.use
    names = (pair.since, pair.before.name, pair.after.name)
    return (*names, was.value, now.value, was.low, was.high, now.low, now.high)


def alone(end: End) -> tuple[object, ...]:
    """Return the cells of one checkpoint that nothing is compared with."""
    return ("none", "", end.name, None, end.hours, None, None, end.use.low, end.use.high)
