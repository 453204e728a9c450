"""From an answer to a reading: X, Y, Z in cd/m², with what stands for infinity and for nothing taken out."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from probe_io.instrument import Measurement
from probe_io.reading import HOLES, Reading, tristimulus
from probe_io.template import Value


@dataclass(frozen=True, slots=True)
class Answer:
    """One try: numbers, or what an error reply means."""

    values: dict[str, Value]
    raw: bytes
    meaning: str = ""
    say: str = ""
    requested_at_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Taken:
    """How a reading was taken."""

    integration_s: float
    """As asked for."""
    took_s: float
    retried: bool


def reading_of(measure: Measurement, answer: Answer, taken: Taken, notes: list[str]) -> Reading:
    """Make a reading of an answer; ``notes`` are said with it.

    Args:
        measure: How the reply is to be read.
        answer: What came.
        taken: How it was taken.
        notes: What is to be said of it so far.
    """
    flags = ["retried"] if taken.retried else []
    if answer.meaning:
        flags.append(answer.meaning)
        notes.append(answer.say)
    X, Y, Z = light_of(measure, answer.values, flags, notes)
    integration_s = taken.integration_s
    reported = answer.values.get("integration_s", answer.values.get("integration_ms"))
    if isinstance(reported, int | float):
        integration_s = float(reported) * (1.0 if "integration_s" in answer.values else 0.001)
    return Reading(
        X,
        Y,
        Z,
        integration_s=integration_s,
        requested_at_s=answer.requested_at_s,
        took_s=taken.took_s,
        flags=tuple(dict.fromkeys(flags)),
        note="; ".join(notes),
        raw=answer.raw,
    )


def light_of(
    measure: Measurement, values: Mapping[str, Value], flags: list[str], notes: list[str]
) -> tuple[float | None, float | None, float | None]:
    """Return X, Y, Z in cd/m², ``None`` where the reply holds no usable value; flags and notes are added to.

    Args:
        measure: How the reply is to be read.
        values: The numbers of its holes.
        flags: Of the reading.
        notes: Of the reading.
    """
    numbers: dict[str, float] = {}
    for name in HOLES[measure.quantity]:
        value = values.get(name)
        if isinstance(value, str) or value is None:
            continue
        if _among(value, measure.over_range):
            flags.append("over-range")
        elif not _among(value, measure.missing):
            numbers[name] = float(value)
    if "Y" not in numbers:
        if not notes or not {"over-range", "low-light"} & set(flags):
            notes.append("over range" if "over-range" in flags else "the reply holds no luminance")
        return None, None, None
    whole = all(name in numbers for name in HOLES[measure.quantity])
    X, Y, Z = tristimulus(measure.quantity if whole else "Y", numbers, measure.cd_m2_per_unit)
    if measure.quantity != "Y" and X is None:
        notes.append("the reply holds no usable chromaticity")
    if measure.low_light_below_cd_m2 is not None and measure.low_light_below_cd_m2 > Y:
        flags.append("low-light")
    if measure.over_range_above_cd_m2 is not None and measure.over_range_above_cd_m2 < Y:
        flags.append("over-range")
    return X, Y, Z


def _among(value: float, marks: tuple[float, ...]) -> bool:
    return any(math.isclose(value, mark, rel_tol=1e-9) for mark in marks)
