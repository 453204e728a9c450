"""Paired readings of a probe and a reference instrument: the CSV ``panelwear probe correct`` reads.

One row a colour and pair; rows of one colour are averaged. Columns: ``colour``, and for each of ``probe`` and
``reference`` either ``X Y Z`` in cd/m² or ``Y x y``, such as ``probe_X, probe_Y, probe_Z, reference_Y, reference_x,
reference_y``. Between columns stands ``,``, or ``;`` as spreadsheets write it where the decimal sign is a comma.
"""

from __future__ import annotations

import csv
import io
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.colorimetry.basic import XYZ_of_xyY
from panelwear.colorimetry.plausible import why_impossible
from panelwear.errors import FileFault

Real = NDArray[np.float64]

TEMPLATE = """\
colour,probe_X,probe_Y,probe_Z,reference_X,reference_Y,reference_Z
red,,,,,,
green,,,,,,
blue,,,,,,
white,,,,,,
"""


@dataclass(frozen=True, slots=True, eq=False)
class Pair:
    """One row: X, Y, Z of a colour by both instruments, in cd/m²."""

    line: int
    colour: str
    probe: Real
    reference: Real


@dataclass(frozen=True, slots=True, eq=False)
class Pairs:
    """Mean X, Y, Z of each colour by both instruments, in cd/m²."""

    colours: tuple[str, ...]
    probe: Real
    reference: Real
    rows: tuple[Pair, ...] = ()
    """What they were averaged from."""

    def of(self, *wanted: str) -> tuple[Real, Real]:
        """Return the rows of some colours in that order; raises ``KeyError`` with the name of one that is missing."""
        rows = []
        for name in wanted:
            if name not in self.colours:
                raise KeyError(name)
            rows.append(self.colours.index(name))
        return self.probe[rows], self.reference[rows]


def read_pairs(text: str, where: str) -> Pairs:
    """Read the CSV's text; ``FileFault`` lists every fault with its line."""
    try:
        return _pairs_of(text, where)
    except csv.Error as error:
        raise FileFault((f"{where}: is not a CSV of pairs ({error})",)) from None


def _pairs_of(text: str, where: str) -> Pairs:
    text = text.lstrip("\ufeff")
    delimiter = ";" if ";" in text.partition("\n")[0] else ","
    table = csv.DictReader(io.StringIO(text), delimiter=delimiter, skipinitialspace=True)
    problems: list[str] = []
    found: list[Pair] = []
    for row in table:
        name = (row.get("colour") or "").strip().lower()
        both = [
            _tristimulus(row, whose, f"{where}, line {table.line_num}", problems) for whose in ("probe", "reference")
        ]
        if not name:
            problems.append(f"{where}, line {table.line_num}: colour is empty.")
        elif both[0] is not None and both[1] is not None:
            found.append(Pair(table.line_num, name, both[0], both[1]))
    if not found and not problems:
        problems.append(f"{where}: there are no readings; the first line must name the columns, 'colour' among them.")
    if problems:
        raise FileFault(tuple(problems))
    colours = tuple(dict.fromkeys(pair.colour for pair in found))
    by_colour = [[pair for pair in found if pair.colour == colour] for colour in colours]
    probe = np.array([np.mean([pair.probe for pair in pairs], axis=0) for pairs in by_colour])
    reference = np.array([np.mean([pair.reference for pair in pairs], axis=0) for pairs in by_colour])
    return Pairs(colours, probe, reference, tuple(found))


def _tristimulus(row: dict[str, str], whose: str, where: str, problems: list[str]) -> Real | None:
    for letters in ("XYZ", "xyY"):
        given = [row.get(f"{whose}_{letter}") for letter in letters]
        if all(v is not None and v.strip() for v in given):
            numbers = [_number(v or "") for v in given]
            made = np.array(numbers) if letters == "XYZ" else XYZ_of_xyY(*numbers)
            # A filter colorimeter may read a little below zero in X or Z; never in Y.
            if not (np.isfinite(made).all() and made[1] > 0):
                problems.append(f"{where}: {whose} {', '.join(letters)} must be numbers, with Y above 0.")
                return None
            why = why_impossible(*map(float, made))
            if why:
                problems.append(f"{where}: {whose}: {why}.")
                return None
            return made
    problems.append(f"{where}: {whose}_X, {whose}_Y, {whose}_Z (or {whose}_Y, {whose}_x, {whose}_y) are not all there.")
    return None


def _number(text: str) -> float:
    try:
        # The columns are told apart already: a comma without a point is a decimal comma.
        return float(text.strip().replace(",", ".", 1) if "." not in text else text.strip())
    except ValueError:
        return math.nan
