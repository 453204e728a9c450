"""From a panel folder to the evidence of its checkpoints: the one place where figures touch files."""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path

import numpy as np

from panelwear.colorimetry.correction import Correction, load_correction
from panelwear.errors import FileFault, NotAsWritten
from panelwear.figures.circumstances import Circumstances, ProbeName, circumstances_of
from panelwear.figures.evidence import Evidence, bare_evidence_of, drift_taken_out, put_together
from panelwear.figures.fillings import Seat, fillings_of, seats_of
from panelwear.figures.flags import flagged_of
from panelwear.figures.probe_spread import with_step
from panelwear.figures.record_facts import RecordFacts, applied_notes, matrix_notes, offsets_of, with_matrix
from panelwear.figures.run_remarks import run_remarks
from panelwear.folder import checkpoint
from panelwear.folder.amendments import told as told_amendment
from panelwear.folder.checkpoint import Checkpoint, Lost
from panelwear.folder.integrity import Content, Integrity, copy_faults, integrity_of, with_copy
from panelwear.folder.panel import ProbeSettings, facts_for, load_panel, load_probe_settings
from panelwear.folder.zone_places import places_of
from panelwear.readings import store
from panelwear.readings.marks import FILE as MARKS
from panelwear.readings.marks import Mark
from panelwear.readings.matches import MatchResult, matches_file
from panelwear.readings.table import ReadingTable
from sequences.model import PanelFacts


@dataclass(frozen=True, slots=True, eq=False)
class Loaded:
    """The checkpoints of a panel folder that count, and what is not as it was written."""

    checkpoints: tuple[Evidence, ...]
    """Oldest first, also those that hold nothing yet."""
    faults: tuple[str, ...] = ()
    """Head of whatever is said of the panel, a sentence each."""
    out: Mapping[str, str] = field(default_factory=dict)
    """Checkpoints that give no verdict, each with the first reason."""
    without_baseline: str = ""
    """Why nothing can be said since the baseline, where it is among them; the next does not take its place."""

    def refuse_all_lost(self) -> None:
        """Raise ``NotAsWritten`` where readings are damaged, with which, and no other checkpoint holds any."""
        if self.out and all(one.is_empty for one in self.checkpoints):
            raise NotAsWritten(
                (*self.faults, "no other checkpoint holds readings, so nothing can be said of the panel")
            )


def load_panel_evidence(
    panel_dir: Path,
    sessions: Mapping[str, int] | None = None,
    *,
    as_it_is: bool = False,
    asked: str = "",
    ends_only: bool = False,
) -> Loaded:
    """Read all checkpoints of a panel and ask each whether it is as it was written.

    The matrix ``probe.toml`` names is applied to every checkpoint that was read with that probe: readings are stored
    as sent, so one matrix serves all.

    Args:
        panel_dir: the panel folder.
        sessions: by name of a checkpoint, the one session of it that counts; by default all do.
        as_it_is: let checkpoints that were changed count; their faults are told all the same.
        asked: name of the one checkpoint that is asked for, which counts whatever was done to it.
        ends_only: work out patches of the first checkpoint that counts and of the last two alone, which a comparison is
            made of; those between only tell how well the probe finds its place.

    Raises:
        FileFault: ``panel.toml``, ``probe.toml`` or the correction file has faults.
        UsageError: the folder is no panel folder.
        StorageFault: its checkpoints cannot be listed.
    """
    settings = load_probe_settings(panel_dir)
    panel = load_panel(panel_dir)
    facts = facts_for(panel, settings)
    matrix = load_correction(panel_dir / settings.correction) if settings.correction else None
    there, lost = checkpoint.survey(panel_dir)
    known = [circumstances_of(c.corrected, c.name) for c in there]
    ours = read_with(settings.serial, known)
    if matrix is not None:
        known = [
            with_matrix(how, matrix, settings.correction, panel.name) if mine else how
            for how, mine in zip(known, ours, strict=True)
        ]
    found: list[Evidence] = []
    for c, how, mine in zip(there, known, ours, strict=True):
        session = (sessions or {}).get(c.name)
        try:
            found.append(_read_one(c, how, matrix if mine else None, (settings, facts), session))
        except FileFault as error:
            lost.append(Lost(c.directory, tuple(f"{c.name}/{problem}" for problem in error.problems)))
    found = _with_copies(found)
    kept = {c.name for c in there} if as_it_is else {asked}
    loaded = _sorted_out(found, lost, {c.name: c.hours for c in there}, kept)
    return _made_ready(loaded, ends_only)


def _made_ready(loaded: Loaded, ends_only: bool) -> Loaded:
    """Work out the patches of all checkpoints that count, or of the first and of the last two."""
    holding = [e.name for e in loaded.checkpoints if len(e.raw)]
    asked = {*holding[:1], *holding[-2:]} if ends_only else {e.name for e in loaded.checkpoints}
    ready = tuple(drift_taken_out(e) if e.name in asked else e for e in loaded.checkpoints)
    return replace(loaded, checkpoints=ready)


def _with_copies(found: Sequence[Evidence]) -> list[Evidence]:
    """Say of each checkpoint that holds another's readings that it does."""
    faults = copy_faults([e.record.integrity.readings for e in found if e.record.integrity.readings is not None])
    return [_with_fault(e, faults[e.name]) if e.name in faults else e for e in found]


def _with_fault(evidence: Evidence, fault: str) -> Evidence:
    return replace(evidence, record=replace(evidence.record, integrity=with_copy(evidence.record.integrity, fault)))


def _sorted_out(
    found: Sequence[Evidence], lost: Sequence[Lost], hours: Mapping[str, float], kept: Collection[str]
) -> Loaded:
    """Part what counts from what does not, and say so; ``kept`` were asked for as they are."""
    changed = [e for e in found if e.record.integrity.rests_on_it and not e.is_empty]
    out = {one.name: one.problems[0] for one in lost}
    out |= {e.name: e.record.integrity.faults[0] for e in changed if e.name not in kept}
    faults = [problem for one in lost for problem in one.problems]
    faults += [sentence for e in found for sentence in e.record.integrity.faults]
    for name in sorted(out):
        how = "" if name in {one.name for one in lost} else "; --as-it-is counts it nonetheless"
        faults.append(f"{name} is left out of every verdict below{how}")
    counted = [e for e in found if e.name not in out]
    first = min(((e.hours, e.name) for e in counted if e.stored), default=(math.inf, ""))
    by_eye = {e.name for e in found if not e.stored}
    before = sorted(name for name in out if name not in by_eye and (_hours_of(name, hours), name) < first)
    told = f"The baseline {before[0]} is not as it was written" if before else ""
    as_it_is = bool(found) and all(e.name in kept for e in found)
    why = f"{told}, so nothing can be said since the baseline." if before and not as_it_is else ""
    if before and as_it_is:
        faults.append(f"{told}; {first[1] or 'nothing'} stands in its place")
    return Loaded(put_together(counted), tuple(dict.fromkeys(faults)), out, why)


def _hours_of(name: str, hours: Mapping[str, float]) -> float:
    """Return a checkpoint's hours, from its folder's name where its record is lost; unknown ones may be the first."""
    if name in hours:
        return hours[name]
    told = re.search(r"-h(\d+(?:\.\d+)?)(?:-\d+)?$", name)
    return float(told[1]) if told else -math.inf


def load_evidence(panel_dir: Path) -> tuple[Evidence, ...]:
    """Read all checkpoints of a panel, oldest first, as they are; ``FileFault`` where one cannot be read.

    For a folder that this very program has just written; anything else asks ``load_panel_evidence``.
    """
    found = load_panel_evidence(panel_dir, as_it_is=True)
    if found.out:
        raise FileFault(found.faults)
    return found.checkpoints


@dataclass(frozen=True, slots=True, eq=False)
class SessionEvidence:
    """One session of a checkpoint, beside the last other checkpoint that was read."""

    now: Evidence
    last: Evidence | None
    faults: tuple[str, ...] = ()
    """Of the other checkpoints' files."""


def evidence_of_session(panel_dir: Path, name: str, session: int | None = None) -> SessionEvidence:
    """Return one session of a checkpoint (by default all of it), and the last other checkpoint that was read.

    Raises:
        FileFault: a file of the panel has faults, or one of this very checkpoint cannot be read.
    """
    loaded = load_panel_evidence(panel_dir, {} if session is None else {name: session}, asked=name)
    mine = [e for e in loaded.checkpoints if e.name == name]
    if not mine:
        raise FileFault(loaded.faults)
    others = [e for e in loaded.checkpoints if e.name != name and e.stored]
    return SessionEvidence(mine[0], others[-1] if others else None, loaded.faults)


def read_with(serial: str, checkpoints: Sequence[Circumstances]) -> tuple[bool, ...]:
    """Return for each checkpoint whether it was read with the probe of a stated serial number.

    A checkpoint from before the number was stated is told by what the probe itself told then and later. Without a
    number, here or there, there is taken to be one probe only.
    """
    probes = [name for c in checkpoints for name in c.probes]
    here = ProbeName(stated=serial)
    its = [name for name in probes if name.is_same(here)]
    return tuple(
        not (serial and c.probes) or any(name.is_same(known) for name in c.probes for known in (here, *its))
        for c in checkpoints
    )


def _read_one(
    found: Checkpoint,
    circumstances: Circumstances,
    matrix: Correction | None,
    known: tuple[ProbeSettings, PanelFacts],
    session: int | None,
) -> Evidence:
    """Read one checkpoint and make it half ready; ``FileFault`` where that is too much."""
    settings, facts = known
    sessions = found.record["sessions"]
    marks_path, matches_path = found.directory / MARKS, matches_file(found.directory)
    marks = tuple(store.read(marks_path, Mark)) if marks_path.exists() else ()
    matches = tuple(store.read(matches_path, MatchResult)) if matches_path.exists() else ()
    table, seats, integrity = _read(found, marks, matches, session)
    there = {*np.unique(table.session).tolist()}
    notes = matrix_notes([s for s in sessions if s["number"] in there], matrix.digest() if matrix else "")
    notes = (*applied_notes(circumstances), *notes)
    record = RecordFacts(
        gamma=facts.gamma,
        offsets=offsets_of(s for s in sessions if s["number"] in there),
        fillings=fillings_of(seats, facts),
        integrity=integrity,
        notes=notes,
        remarks=partial(_remarks, found, notes, integrity.faults),
        circumstances=replace(circumstances, flagged=flagged_of(table)),
        marks=marks,
        matches=matches,
        zone_places=places_of(s for s in sessions if s["number"] in there),
    )
    meter, own = with_step(settings.uncertainty, table), matrix.matrix if matrix else None
    return bare_evidence_of(table, meter, own, settings.floor_cd_m2 or None, record)


def _read(
    found: Checkpoint, marks: Sequence[Mark], matches: Sequence[MatchResult], session: int | None
) -> tuple[ReadingTable, list[Seat], Integrity]:
    """Read the readings; columns that the table has no use for are let go on return."""
    columns = found.columns()
    integrity = integrity_of(found, Content(columns, marks, matches))
    if session is not None:
        columns = columns.where(columns.numbers["session"] == session)
    return found.table(columns), seats_of(columns), integrity


def _remarks(found: Checkpoint, matrix: Sequence[str], told: Sequence[str]) -> tuple[str, ...]:
    """Say what must be known of a checkpoint's files beside what is told already, one sentence a remark."""
    try:
        amended = found.amendments()
    except FileFault:
        amended = []  # told already
    said = [f"{found.name}: {told_amendment(a)}." for a in amended]
    said += [f"{sentence}." for sentence in found.changed_since_close() if sentence not in told]
    said += [f"{found.name}: {note}" for note in (*matrix, *run_remarks(found.record.get("sessions", ())))]
    if not found.is_closed:
        said.append(f"{found.name}: is still open, so readings may be added to it.")
    return tuple(said)
