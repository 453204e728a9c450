"""From a panel folder to what the comparison takes: the one place here that reads files."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from panelwear.byeye.marks import FILE as MARKS
from panelwear.byeye.marks import Mark
from panelwear.byeye.nulls import FILE as NULLS
from panelwear.byeye.nulls import Null
from panelwear.colorimetry.correction import load_correction
from panelwear.compare.circumstances import Circumstances, ProbeName, circumstances_of
from panelwear.compare.flags import flagged_of
from panelwear.compare.subject import Subject
from panelwear.figures.beside import Beside, fillings_of, offsets_of
from panelwear.folder import checkpoint
from panelwear.folder.panel import load_panel
from panelwear.folder.probe_settings import ProbeSettings, load_probe_settings
from panelwear.readings import store
from panelwear.run.plan import facts_for
from panelwear.uncertainty.meter import from_mapping
from sequences.model import PanelFacts


def load_subjects(panel_dir: Path) -> tuple[Subject, ...]:
    """Read all checkpoints of a panel that have readings or by-eye results.

    The matrix ``probe.toml`` names is applied to every checkpoint that was read with that probe: readings are stored
    as sent, so one matrix serves all.

    Raises:
        FileFault: a file of the folder has faults.
        StorageFault: the folder is no panel folder.
    """
    settings = load_probe_settings(panel_dir)
    facts = facts_for(load_panel(panel_dir), settings)
    there = checkpoint.all_of(panel_dir)
    known = [circumstances_of(c.record, c.name) for c in there]
    ours = read_with(settings.serial, known)
    found = [
        _subject(panel_dir, (c, circumstances), settings, facts, mine)
        for c, circumstances, mine in zip(there, known, ours, strict=True)
    ]
    return tuple(s for s in found if len(s.table) or s.marks or s.nulls)


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


def _subject(
    panel_dir: Path,
    read: tuple[checkpoint.Checkpoint, Circumstances],
    settings: ProbeSettings,
    facts: PanelFacts,
    ours: bool,
) -> Subject:
    found, circumstances = read
    table = found.table()
    circumstances = replace(circumstances, flagged=flagged_of(table))
    matrix = load_correction(panel_dir / settings.correction).matrix if settings.correction and ours else None
    marks, nulls = found.directory / MARKS, found.directory / NULLS
    return Subject(
        table=table,
        circumstances=circumstances,
        meter=from_mapping(settings.uncertainty),
        correction=matrix,
        floor_cd_m2=settings.floor_cd_m2 or None,
        beside=Beside(offsets_of(found.record["sessions"]), fillings_of(found.rows(), facts)),
        marks=tuple(store.read(marks, Mark)) if marks.exists() else (),
        nulls=tuple(store.read(nulls, Null)) if nulls.exists() else (),
    )
