"""``[[stability]]`` in ``probe.toml``: the probe's day-to-day stability, as it was measured.

The program appends a whole block and leaves what a person wrote as it is; the last block of this probe takes the place
of ``session_scale``, ``session_xy`` and ``session_filters`` under ``[uncertainty]``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from groundwork.tables import limits
from panelwear.folder.files import quoted
from panelwear.readings.records import text_of
from panelwear.uncertainty.meter import MeterTerms

_SHARE, _DOF = limits(above=0, high=0.5), limits(low=1, high=10_000)


@dataclass(frozen=True, slots=True)
class StabilityBlock:
    """One measurement; a term that the evenings did not tell is not there."""

    measured: str
    """Day of the last evening, ISO 8601."""
    evenings: int = field(metadata=limits(low=2, high=10_000))
    light: str = ""
    serial: str = ""
    """Of the probe that read; empty where it told none."""
    session_scale: float | None = field(default=None, metadata=_SHARE)
    session_xy: float | None = field(default=None, metadata=_SHARE)
    session_filters: float | None = field(default=None, metadata=_SHARE)
    dof: float = field(default=1.0, metadata=_DOF)
    """Degrees of freedom of each term that is there."""

    def on(self, terms: MeterTerms) -> MeterTerms:
        """Return the probe's terms with what was measured in the place of what was assumed."""
        for name in ("session_scale", "session_xy", "session_filters"):
            value = getattr(self, name)
            if value is not None:
                terms = replace(terms, **{name: value, f"{name}_dof": self.dof})
        return terms


def measured_terms(terms: MeterTerms, blocks: Sequence[StabilityBlock], serial: str) -> MeterTerms:
    """Return the probe's terms with the newest measurement of this very probe.

    Args:
        terms: as a person stated them.
        blocks: as they stand in the file, the newest last.
        serial: of the probe, as stated; a block of another number does not count.
    """
    own = [block for block in blocks if not (serial and block.serial and block.serial != serial)]
    return own[-1].on(terms) if own else terms


def stability_text(block: StabilityBlock) -> str:
    """Write a block, to be appended to ``probe.toml``."""
    numbers = [
        f"{name} = {text_of(float(f'{value:.3g}'))}"
        for name in ("session_scale", "session_xy", "session_filters")
        if (value := getattr(block, name)) is not None
    ]
    return "\n".join(
        [
            "",
            f"# Measured on {block.evenings} evenings (panelwear probe stability); it stands for what [uncertainty] "
            "says of these terms.",
            "# Take the block out to go back to that.",
            "[[stability]]",
            f"measured = {quoted(block.measured)}",
            f"evenings = {block.evenings}",
            f"light = {quoted(block.light)}",
            f"serial = {quoted(block.serial)}",
            *numbers,
            f"dof = {text_of(block.dof)}",
            "",
        ]
    )
