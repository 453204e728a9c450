"""From a panel folder to the evidence of its checkpoints: the one place where figures touch files."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from panelwear.colorimetry.correction import Correction, load_correction
from panelwear.figures.circumstances import Circumstances, ProbeName, circumstances_of
from panelwear.figures.evidence import Evidence, evidence_of, put_together
from panelwear.figures.fillings import fillings_of
from panelwear.figures.flags import flagged_of
from panelwear.figures.probe_spread import with_step
from panelwear.figures.record_facts import RecordFacts, matrix_notes, offsets_of
from panelwear.folder import checkpoint
from panelwear.folder.checkpoint import Checkpoint
from panelwear.folder.panel import ProbeSettings, facts_for, load_panel, load_probe_settings
from panelwear.readings import store
from panelwear.readings.marks import FILE as MARKS
from panelwear.readings.marks import Mark
from panelwear.readings.matches import MatchResult, matches_file
from sequences.model import PanelFacts


def load_evidence(panel_dir: Path, sessions: Mapping[str, int] | None = None) -> tuple[Evidence, ...]:
    """Read all checkpoints of a panel, oldest first, also those that hold nothing yet.

    The matrix ``probe.toml`` names is applied to every checkpoint that was read with that probe: readings are stored
    as sent, so one matrix serves all.

    Args:
        panel_dir: the panel folder.
        sessions: by name of a checkpoint, the one session of it that counts; by default all do.

    Raises:
        FileFault: a file of the folder has faults.
        StorageFault: the folder is no panel folder.
    """
    settings = load_probe_settings(panel_dir)
    facts = facts_for(load_panel(panel_dir), settings)
    matrix = load_correction(panel_dir / settings.correction) if settings.correction else None
    there = checkpoint.all_of(panel_dir)
    known = [circumstances_of(c.record, c.name) for c in there]
    ours = read_with(settings.serial, known)
    return put_together(
        [
            _evidence(c, how, matrix if mine else None, (settings, facts), (sessions or {}).get(c.name))
            for c, how, mine in zip(there, known, ours, strict=True)
        ]
    )


def evidence_of_session(panel_dir: Path, name: str, session: int | None = None) -> tuple[Evidence, Evidence | None]:
    """Return one session of a checkpoint (by default all of it), and the last other checkpoint that was read.

    Raises:
        FileFault: a file of the folder has faults.
    """
    listed = load_evidence(panel_dir, {} if session is None else {name: session})
    [mine] = [e for e in listed if e.name == name]
    others = [e for e in listed if e.name != name and e.stored]
    return mine, others[-1] if others else None


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


def _evidence(
    found: Checkpoint,
    circumstances: Circumstances,
    matrix: Correction | None,
    known: tuple[ProbeSettings, PanelFacts],
    session: int | None,
) -> Evidence:
    settings, facts = known
    rows, sessions = found.rows(), found.record["sessions"]
    if session is not None:
        rows = [row for row in rows if row.session == session]
    table = found.table(rows)
    there = {row.session for row in rows}
    notes = matrix_notes([s for s in sessions if s["number"] in there], matrix.digest() if matrix else "")
    marks, matches = found.directory / MARKS, matches_file(found.directory)
    record = RecordFacts(
        offsets=offsets_of(s for s in sessions if s["number"] in there),
        fillings=fillings_of(rows, facts),
        notes=notes,
        remarks=partial(_remarks, found, notes),
        circumstances=replace(circumstances, flagged=flagged_of(table)),
        marks=tuple(store.read(marks, Mark)) if marks.exists() else (),
        matches=tuple(store.read(matches, MatchResult)) if matches.exists() else (),
    )
    meter = with_step(settings.uncertainty, table)
    return evidence_of(table, meter, matrix.matrix if matrix else None, settings.floor_cd_m2 or None, record)


def _remarks(found: Checkpoint, matrix: Sequence[str]) -> tuple[str, ...]:
    """Say what must be known of a checkpoint's files, one sentence a remark."""
    said = [f"{found.name}: amended on {a['utc'][:10]}: {a['text'].rstrip('.')}." for a in found.amendments()]
    said += [f"{sentence}." for sentence in found.changed_since_close()]
    said += [f"{found.name}: {note}" for note in matrix]
    if not found.is_closed:
        said.append(f"{found.name}: is still open, so readings may be added to it.")
    return tuple(said)
