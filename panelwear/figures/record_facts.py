"""What panel and record tell of a checkpoint's readings that the readings themselves do not."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from panelwear.colorimetry.correction import Correction
from panelwear.figures.circumstances import Circumstances
from panelwear.figures.fillings import Filling
from panelwear.folder.integrity import Integrity
from panelwear.folder.zone_places import ZonePlace
from panelwear.panel.placement import Offset, offset_from_json
from panelwear.readings.marks import Mark
from panelwear.readings.matches import MatchResult
from sequences.model import GAMMA


@dataclass(frozen=True, slots=True)
class RecordFacts:
    """Knowledge beside the readings of one checkpoint."""

    offsets: Mapping[tuple[int, int], Offset] = field(default_factory=dict)
    """By session and visit: how far the probe was found from where it sat before."""
    fillings: Mapping[str, Filling] = field(default_factory=dict)
    """By zone; only zones or strips that do not fill the aperture."""
    integrity: Integrity = field(default_factory=Integrity)
    """Whether the files are those that were written."""
    notes: tuple[str, ...] = ()
    """What a person should know of the correction matrix."""
    remarks: Callable[[], tuple[str, ...]] = tuple
    """Of the checkpoint's files, matrix included: amended, photographs changed after closing, still open.

    A function, as every file of a closed checkpoint is digested for it, photographs too.
    """
    circumstances: Circumstances = field(default_factory=Circumstances)
    gamma: float = GAMMA
    """The panel is meant to follow, as ``panel.toml`` states it."""
    marks: tuple[Mark, ...] = ()
    """What the eye found."""
    matches: tuple[MatchResult, ...] = ()
    """What was measured by eye."""
    zone_places: Mapping[str, tuple[ZonePlace, ...]] = field(default_factory=dict)
    """By zone: where it lay when it was read; nothing of checkpoints whose record does not tell."""


def offsets_of(sessions: Iterable[Mapping[str, Any]]) -> dict[tuple[int, int], Offset]:
    """Return the offsets that ``locate`` found, from the sessions of ``checkpoint.json``."""
    found: dict[tuple[int, int], Offset] = {}
    for session in sessions:
        for visit, record in (session.get("placements") or {}).items():
            offset = offset_from_json(record)
            if offset is not None:
                found[int(session["number"]), int(visit)] = offset
    return found


def matrix_notes(sessions: Iterable[Mapping[str, Any]], now: str) -> tuple[str, ...]:
    """Say which sessions were read under another correction matrix than the one figures use now.

    Args:
        sessions: of ``checkpoint.json``.
        now: digest of the matrix ``probe.toml`` names now, or empty.
    """
    said = []
    for session in sessions:
        digests = session.get("digests")
        if digests is None:
            continue  # it was shown without a probe, or its record does not say
        then = str(digests.get("correction", ""))
        if then != now:
            said.append(
                f"Session {session['number']} was read with {_matrix(then)}, probe.toml now names {_matrix(now)}: "
                "these figures use the present one."
            )
    return tuple(said)


def with_matrix(circumstances: Circumstances, matrix: Correction, file: str, panel: str) -> Circumstances:
    """Tell which matrix figures are corrected with.

    Args:
        circumstances: of a checkpoint that was read with the probe it belongs to.
        matrix: as read.
        file: its name.
        panel: name of the panel that was read.
    """
    beside = f" beside {matrix.reference}" if matrix.reference else ""
    forced = f", against what the program held against it ({matrix.forced})" if matrix.forced else ""
    other = matrix.panel if matrix.panel and matrix.panel != panel else ""
    return replace(circumstances, corrected_with=f"{file}, made {matrix.date}{beside}{forced}", matrix_of=other)


def applied_notes(circumstances: Circumstances) -> tuple[str, ...]:
    """Say which matrix figures are corrected with, and that it is for another panel where it is."""
    if not circumstances.corrected_with:
        return ()
    said = f"Corrected with {circumstances.corrected_with}."
    other = circumstances.matrix_of
    return (
        (said, f"That matrix was made on another panel, {other}: it holds for that one's primaries.")
        if other
        else (said,)
    )


def _matrix(digest: str) -> str:
    return f"correction matrix {digest[:8]}…" if digest else "no correction matrix"
