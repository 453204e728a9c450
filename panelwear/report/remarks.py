"""What must be known of the checkpoints' files: still open, changed after closing, amended."""

from __future__ import annotations

from pathlib import Path

from panelwear.folder import amendments, checkpoint
from panelwear.folder.checkpoint import Checkpoint


def remarks_of(panel_dir: Path) -> tuple[str, ...]:
    """Return one sentence a remark, oldest checkpoint first.

    Raises:
        FileFault: a record cannot be read.
    """
    return tuple(sentence for found in checkpoint.all_of(panel_dir) for sentence in _of(found))


def _of(found: Checkpoint) -> list[str]:
    said = [f"{found.name}: amended on {a['utc'][:10]}: {a['text'].rstrip('.')}." for a in amendments.of(found)]
    said += [f"{sentence}." for sentence in found.changed_since_close()]
    if not found.is_closed:
        said.append(f"{found.name}: is still open, so readings may be added to it.")
    return said
