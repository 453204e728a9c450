"""A checkpoint's patches as ISO 28178 (CGATS.17) ASCII: what programs for colour measurements read.

Keywords and field names are the standard's (from memory of ISO 28178:2009 and CGATS.17-2009, not looked up); each word
beyond them is announced with ``KEYWORD``, as the standard asks. It is 7 bit: other characters are escaped.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from panelwear.figures.evidence import Evidence
from panelwear.figures.means import Mean
from panelwear.folder.hours import HoursOfUse
from panelwear.readings.records import text_of

IDENTIFIER = "CGATS.17"
LONGEST_LINE = 240
"""Characters of a line; comments are broken to fit."""


@dataclass(frozen=True, slots=True)
class About:
    """What stands above the data."""

    software: str
    panel: str
    checkpoint: str
    created: str
    """Day the readings were taken, ISO 8601."""
    instrument: str
    notes: Sequence[str] = ()
    """What must be known of the numbers, a sentence each; they become comments."""


def cgats_of(evidence: Evidence, about: About) -> bytes:
    """Write the patches of a checkpoint: drive levels as RGB of 0 to 255, X, Y, Z in cd/m², repeats as their mean.

    X and Z are left out where a patch has none, as the standard knows no missing number.
    """
    colour = all(mean.has_colour for mean in evidence.means)
    fields = ["SAMPLE_ID", "SAMPLE_NAME", "RGB_R", "RGB_G", "RGB_B", *(("XYZ_X", "XYZ_Y", "XYZ_Z") if colour else
              ("XYZ_Y",)), "READINGS"]  # fmt: skip
    lines = [
        IDENTIFIER,
        *_head(about, evidence.circumstances.use, colour),
        "",
        f"NUMBER_OF_FIELDS\t{len(fields)}",
        "BEGIN_DATA_FORMAT",
    ]
    lines += ["\t".join(fields), "END_DATA_FORMAT", "", f"NUMBER_OF_SETS\t{len(evidence.means)}", "BEGIN_DATA"]
    lines += [_set(number, mean, colour) for number, mean in enumerate(evidence.means, start=1)]
    return ("\r\n".join([*lines, "END_DATA"]) + "\r\n").encode("ascii")


def is_ours(head: bytes) -> bool:
    """Tell from its beginning whether a file is one that this program wrote."""
    return head.startswith(IDENTIFIER.encode()) and b'ORIGINATOR\t"panelwear ' in head


def quoted(text: str) -> str:
    """Write a text between quotes, a quote in it twice, in 7 bit."""
    plain = text.encode("ascii", "backslashreplace").decode("ascii")
    shown = "".join(sign if sign.isprintable() else f"\\x{ord(sign):02x}" for sign in plain)
    return '"' + shown.replace('"', '""') + '"'


def _head(about: About, use: HoursOfUse, colour: bool) -> list[str]:
    said = [
        "X, Y, Z are means of usable readings in cd/m2, correction matrix applied, drift taken out.",
        "They are absolute and not scaled to white; RGB are drive levels of 0 to 255.",
        f"Hours of use of the panel: {use.told}.",
        *([] if colour else ["X and Z are left out: some patches were read in luminance alone."]),
        *about.notes,
    ]
    return [
        f"ORIGINATOR\t{quoted(about.software)}",
        f"DESCRIPTOR\t{quoted(f'{about.panel}, checkpoint {about.checkpoint}')}",
        f"CREATED\t{quoted(about.created)}",
        f"INSTRUMENTATION\t{quoted(about.instrument)}",
        *(line for sentence in said for line in _comment(sentence)),
        *(line for name, value in _hours(use) for line in (f"KEYWORD\t{quoted(name)}", f"{name}\t{quoted(value)}")),
        'KEYWORD\t"XYZ_UNIT"',
        'XYZ_UNIT\t"cd/m2"',
        'KEYWORD\t"READINGS"',
    ]


def _hours(use: HoursOfUse) -> tuple[tuple[str, str], ...]:
    """Return the keywords of the hours of use: of a range its middle, and both ends."""
    numbers = (("HOURS_OF_USE_H", use.value), ("HOURS_LOW_H", use.low), ("HOURS_HIGH_H", use.high))
    return (*((name, text_of(value)) for name, value in numbers), ("HOURS_KIND", use.kind))


def _comment(sentence: str) -> list[str]:
    text = quoted(sentence)[1:-1].replace('""', '"')
    width = LONGEST_LINE - 2
    return [f"# {text[at : at + width]}" for at in range(0, len(text), width)]


def _set(number: int, mean: Mean, colour: bool) -> str:
    XYZ = mean.XYZ.tolist() if colour else [mean.Y]
    cells = [str(number), quoted(mean.key), *map(_number, mean.codes), *map(_number, XYZ), str(mean.n)]
    return "\t".join(cells)


def _number(value: float) -> str:
    """Write a number without an exponent, with seven significant digits."""
    return np.format_float_positional(value, precision=7, fractional=False, trim="-")
