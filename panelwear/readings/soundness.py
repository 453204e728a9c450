"""What is wrong with records that can be read: numbering, unknown words, numbers that are none, edited colours."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from panelwear.colorimetry.plausible import IMPOSSIBLE, possible, why_impossible
from panelwear.readings.by_column import ByColumn
from panelwear.readings.columns import columns_of
from panelwear.readings.corrections import is_replacing, replaced_by
from panelwear.readings.marks import KINDS, STRENGTHS, Mark
from panelwear.readings.matches import METHODS, MatchResult
from panelwear.readings.row import FLAGS, Row

XY_TOLERANCE = 2e-6
"""x and y are stored with six decimals; a file saved by a spreadsheet may have lost the last one."""
_XYZ = ("X_cd_m2", "Y_cd_m2", "Z_cd_m2")
_NUMBERS = tuple(column.name for column in columns_of(Row) if column.kind is float)


def row_faults(rows: ByColumn, file: str) -> Iterator[str]:
    """Say what is wrong with the rows of ``readings.csv``, each with record (the header is the first) and column."""
    numbers = rows.numbers["row"]
    odd = np.flatnonzero(numbers != np.arange(1, len(rows) + 1))
    end = int(odd[0]) if len(odd) else len(rows)
    flags = rows.texts["flags"]
    unknown = {
        text: [flag for flag in text.split() if flag not in FLAGS and not is_replacing(flag)] for text in flags.there()
    }
    spoilt = flags.isin([text for text, those in unknown.items() if those])
    edited = _edited(rows)
    no_number = {name: where for name in _NUMBERS if (where := _no_number(rows, name)).any()}
    for where in no_number.values():
        spoilt |= where
    for wrong, _ in edited.values():
        spoilt |= wrong
    for at in np.flatnonzero(spoilt[:end]).tolist():
        here = f"{file}: record {at + 2}"
        yield from (f"{here}: flags: unknown '{flag}'" for flag in unknown[flags[at]])
        for name, where in no_number.items():
            if where[at]:
                yield f"{here}: {name}: {rows.numbers[name][at]} is no number; a missing one is an empty field"
        for name, (wrong, said) in edited.items():
            if wrong[at]:
                stored = rows.numbers[name][at]
                yield f"{here}: {name} is {stored:g}, X, Y, Z make {said[at]:.6f}; one of them was edited"
    yield from _wrong_replacements(rows, file, end)
    if end < len(rows):
        yield f"{file}: record {end + 2}: row is {numbers[end]}, expected {end + 1}; a line is missing"


def _wrong_replacements(rows: ByColumn, file: str, end: int) -> Iterator[str]:
    """Hold each row that replaces others against those: earlier ones of the same patch in the same session."""
    flags, patches, sessions = rows.texts["flags"], rows.texts["patch"], rows.numbers["session"]
    replacing = flags.isin([text for text in flags.there() if replaced_by(text)])
    for at in np.flatnonzero(replacing[:end]).tolist():
        for number in replaced_by(flags[at]):
            before = number - 1
            if not 0 <= before < at:
                why = "it replaces row {}, which is no row before it"
            elif patches[before] != patches[at] or sessions[before] != sessions[at]:
                why = "it replaces row {}, which is of another patch or session"
            else:
                continue
            yield f"{file}: record {at + 2}: flags: {why.format(number)}"


def impossible_rows(rows: ByColumn, file: str) -> Iterator[str]:
    """Say which readings cannot be light: no fault of the file, but no figure is made of them."""
    flags = rows.texts["flags"]
    flagged = flags.isin([text for text in flags.there() if IMPOSSIBLE in text.split()])
    XYZ = [rows.numbers[name] for name in _XYZ]
    gone = [rows.missing_in(name) for name in _XYZ]
    judged = ~possible(np.column_stack(XYZ))
    for name in _XYZ:
        judged |= _no_number(rows, name)
    judged &= ~gone[1]
    for at in np.flatnonzero(judged | flagged).tolist():
        note = rows.texts["note"][at].partition(";")[0] if flagged[at] else ""
        X, Y, Z = (None if away[at] else float(value[at]) for value, away in zip(XYZ, gone, strict=True))
        why = why_impossible(X, Y, Z) or note
        if why:
            yield f"{file}: row {rows.numbers['row'][at]} ({rows.texts['patch'][at]}): {why}; it enters no figure"


def _no_number(rows: ByColumn, name: str) -> NDArray[np.bool_]:
    """Tell in which rows a column holds nan or infinity; a missing number is neither."""
    return np.asarray(~np.isfinite(rows.numbers[name]) & ~rows.missing_in(name))


def _edited(rows: ByColumn) -> dict[str, tuple[NDArray[np.bool_], NDArray[np.float64]]]:
    """Hold x and y against X, Y, Z, from which the program worked them out when the row was written.

    Returns:
        By name, which rows hold another value, and what X, Y, Z make.
    """
    X, Y, Z = (rows.numbers[name] for name in _XYZ)
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        total = X + Y + Z
        judged = np.isfinite(total) & (total > 0) & ~rows.missing_in("x") & ~rows.missing_in("y")
        made = {"x": X / total, "y": Y / total}
        return {
            name: (judged & (np.abs(rows.numbers[name] - said) > XY_TOLERANCE), said) for name, said in made.items()
        }


def mark_faults(marks: Sequence[Mark], file: str) -> Iterator[str]:
    """Say what is wrong with the marks of ``marks.csv``."""
    for record, row in enumerate(marks, start=2):
        for column, value, allowed in (
            ("kind", row.kind, KINDS),
            ("strength", row.strength, STRENGTHS),
            ("shape", row.shape, ("rect", "line")),
        ):
            if value not in allowed:
                yield f"{file}: record {record}: {column}: '{value}' is not one of {', '.join(allowed)}"
        if not 0 <= row.code <= 255:
            yield f"{file}: record {record}: code: {row.code:g} is outside 0..255"


def match_faults(matches: Sequence[MatchResult], file: str) -> Iterator[str]:
    """Say what is wrong with the matches of ``matches.csv``."""
    for record, row in enumerate(matches, start=2):
        here = f"{file}: record {record}"
        if row.method not in METHODS:
            yield f"{here}: method: '{row.method}' is not one of {', '.join(METHODS)}"
        try:
            if row.rect.w < 1 or row.rect.h < 1:
                yield f"{here}: rect_px: '{row.rect_px}' has no pixels"
        except ValueError:
            yield f"{here}: rect_px: '{row.rect_px}' is not four whole numbers: left top width height"
        if row.low_percent is not None and row.high_percent is not None and row.low_percent > row.high_percent:
            yield f"{here}: low_percent is above high_percent"
