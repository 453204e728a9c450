"""What must be known of the checkpoints' files: still open, changed after closing, amended, another matrix."""

from __future__ import annotations

from pathlib import Path

from panelwear.colorimetry.correction import load_correction
from panelwear.compare.circumstances import circumstances_of
from panelwear.figures.beside import matrix_notes
from panelwear.folder import amendments, checkpoint
from panelwear.folder.checkpoint import Checkpoint
from panelwear.folder.probe_settings import load_probe_settings


def remarks_of(panel_dir: Path) -> tuple[str, ...]:
    """Return one sentence a remark, oldest checkpoint first.

    Raises:
        FileFault: a record cannot be read.
    """
    return tuple(sentence for found in checkpoint.all_of(panel_dir) for sentence in _of(found, panel_dir))


def _of(found: Checkpoint, panel_dir: Path) -> list[str]:
    said = [f"{found.name}: amended on {a['utc'][:10]}: {a['text'].rstrip('.')}." for a in amendments.of(found)]
    said += [f"{sentence}." for sentence in found.changed_since_close()]
    said += [f"{found.name}: {note}" for note in matrix_notes(found.record["sessions"], _matrix_now(found, panel_dir))]
    if not found.is_closed:
        said.append(f"{found.name}: is still open, so readings may be added to it.")
    return said


def _matrix_now(found: Checkpoint, panel_dir: Path) -> str:
    """Return the digest of the matrix that is applied to a checkpoint now, or empty text."""
    settings = load_probe_settings(panel_dir)
    probe = circumstances_of(found.record).probe
    ours = not (settings.serial and probe) or settings.serial in probe
    return load_correction(panel_dir / settings.correction).digest() if settings.correction and ours else ""
