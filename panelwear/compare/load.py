"""From a panel folder to what the comparison takes: the one place here that reads files."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from panelwear.byeye.marks import FILE as MARKS
from panelwear.byeye.marks import Mark
from panelwear.byeye.nulls import FILE as NULLS
from panelwear.byeye.nulls import Null
from panelwear.colorimetry.correction import load_correction
from panelwear.compare.circumstances import circumstances_of
from panelwear.compare.flags import flagged_of
from panelwear.compare.subject import Subject
from panelwear.figures.beside import Beside, fillings_of, offsets_of
from panelwear.folder import checkpoint
from panelwear.folder.panel import load_panel
from panelwear.folder.probe_settings import ProbeSettings, load_probe_settings
from panelwear.journal import store
from panelwear.sitting import facts_for
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
    found = [_subject(panel_dir, c, settings, facts) for c in checkpoint.all_of(panel_dir)]
    return tuple(s for s in found if len(s.table) or s.marks or s.nulls)


def _subject(panel_dir: Path, found: checkpoint.Checkpoint, settings: ProbeSettings, facts: PanelFacts) -> Subject:
    table = found.table()
    circumstances = replace(circumstances_of(found.record, found.name), flagged=flagged_of(table))
    ours = not (settings.serial and circumstances.probe) or settings.serial in circumstances.probe
    matrix = load_correction(panel_dir / settings.correction).matrix if settings.correction and ours else None
    marks, nulls = found.directory / MARKS, found.directory / NULLS
    return Subject(
        table=table,
        circumstances=circumstances,
        meter=from_mapping(settings.uncertainty),
        correction=matrix,
        floor_cd_m2=settings.floor_cd_m2 or None,
        beside=Beside(offsets_of(found.record["sittings"]), fillings_of(found.rows(), facts)),
        marks=tuple(store.read(marks, Mark)) if marks.exists() else (),
        nulls=tuple(store.read(nulls, Null)) if nulls.exists() else (),
    )
