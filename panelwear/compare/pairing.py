"""Which readings of two checkpoints are of the same thing, and why the others are not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any, Literal

import numpy as np

from groundwork.once import once
from panelwear.compare.differences import Comparability
from panelwear.compare.moved_zones import moved_zones
from panelwear.figures.evidence import Evidence
from sequences.keys import PatchKey

Kind = Literal["fixed code", "fixed luminance"]

CODE_STEP = 1e-6
"""Codes closer than this are the same code; a spatial mix may stand between two."""


@dataclass(frozen=True, slots=True)
class PairedPatch:
    """One patch both checkpoints read."""

    key: str
    kind: Kind
    """``fixed code``: luminance and colour compare. ``fixed luminance``: the code needed and the colour compare."""
    codes_before: tuple[float, float, float]
    codes_after: tuple[float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Pairing:
    """Two checkpoints cut down to what they have in common."""

    before: Evidence
    after: Evidence
    patches: tuple[PairedPatch, ...]
    problems: tuple[str, ...]
    """One sentence a group of patches that do not pair, with the reason."""
    memo: dict[Any, Any] = field(default_factory=dict, init=False)
    """What was worked out from this very pairing, so that it is worked out once."""

    def fixed_codes(self) -> frozenset[str]:
        """Return the keys whose luminances compare."""
        return frozenset(p.key for p in self.patches if p.kind == "fixed code")


@dataclass(frozen=True, slots=True)
class _Shown:
    geometry: frozenset[str]
    codes: frozenset[tuple[float, float, float]]
    by_code: bool


def pair(before: Evidence, after: Evidence) -> Pairing:
    """Pair the patches of two checkpoints on key and geometry; fixed-code patches also need equal codes.

    Returns both sessions with only what pairs left in them, so that any figure worked out from them compares.
    """
    then, now = (once(e.memo, "shown", partial(_shown, e)) for e in (before, after))
    moved = moved_zones(before, after)
    paired: list[PairedPatch] = []
    faults: dict[tuple[str, str], list[str]] = {}
    for key in dict.fromkeys([*then, *now]):
        if PatchKey.parse(key).place in moved:
            continue
        why = _why_not(then.get(key), now.get(key))
        if why:
            faults.setdefault((key.partition("/")[0], why), []).append(key)
            continue
        kind: Kind = "fixed code" if then[key].by_code else "fixed luminance"
        paired.append(PairedPatch(key, kind, next(iter(then[key].codes)), next(iter(now[key].codes))))
    keys = frozenset(p.key for p in paired)
    largest_first = sorted(faults.items(), key=lambda fault: -len(fault[1]))
    sentences = (*moved.values(), *(_sentence(group, why, names) for (group, why), names in largest_first))
    return Pairing(_only(before, keys), _only(after, keys), tuple(paired), sentences)


def paired(before: Evidence, after: Evidence, how: Comparability) -> Pairing:
    """Pair two checkpoints, with the probe's terms as this comparison needs them; once for two checkpoints."""
    return once(after.memo, ("paired", before, how), lambda: pair(_as_asked(before, how), _as_asked(after, how)))


def _as_asked(evidence: Evidence, how: Comparability) -> Evidence:
    """Return a checkpoint with the probe's terms as a comparison needs them; the same one for all that need these."""
    meter = how.meter(evidence.meter)
    return once(evidence.memo, ("with meter", meter), lambda: replace(evidence, meter=meter))


def _shown(evidence: Evidence) -> Mapping[str, _Shown]:
    table = evidence.table
    found: dict[str, _Shown] = {}
    every = np.stack([table.red, table.green, table.blue])
    by_code = np.asarray(table.level_basis == "code")
    for rows in table.patch.groups():
        key, RGB = table.patch[rows[0]], every[:, rows]
        new = np.append(True, (RGB[:, 1:] != RGB[:, :-1]).any(axis=0))
        codes = frozenset(zip(*RGB[:, new].tolist(), strict=True))
        found[key] = _Shown(frozenset(table.geometry_sha256[rows].there()), codes, bool(by_code[rows].all()))
    return found


def _why_not(then: _Shown | None, now: _Shown | None) -> str:
    """Return why a patch does not pair, or empty text."""
    if then is None or now is None:
        return f"only the {'later' if then is None else 'earlier'} checkpoint read it"
    faults = {
        "one checkpoint read it with two geometries": len(then.geometry) > 1 or len(now.geometry) > 1,
        "the geometry differs (pattern, rectangles, background or the screen's pixels)": then.geometry != now.geometry,
        "one checkpoint fixed its drive level, the other its luminance": then.by_code != now.by_code,
        "the drive levels differ": then.by_code and not _same_codes(then, now),
    }
    return next((why for why, wrong in faults.items() if wrong), "")


def _same_codes(then: _Shown, now: _Shown) -> bool:
    if len(then.codes) != 1 or len(now.codes) != 1:
        return False
    pairs = zip(next(iter(then.codes)), next(iter(now.codes)), strict=True)
    return all(abs(a - b) < CODE_STEP for a, b in pairs)


def _sentence(group: str, why: str, keys: list[str]) -> str:
    if len(keys) == 1:
        return f"'{keys[0]}' is not compared: {why}."
    return f"{len(keys)} patches of '{group}' are not compared, such as '{keys[0]}': {why}."


def _only(evidence: Evidence, keys: frozenset[str]) -> Evidence:
    """Return a checkpoint with some patches alone; the same one for all that share these with it."""
    kept = evidence.table.patch.isin(keys)
    # Where nothing is cut it is the very same one, which its own memo must not hold: it would never be let go.
    return evidence if kept.all() else once(evidence.memo, ("only", keys), lambda: evidence.cut(kept))
