"""One run at a time per panel folder, held by the operating system, so that a killed run lets go by itself."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from panelwear.atomic import clean_left_over, refuse_links
from panelwear.errors import StorageFault
from panelwear.folder.files import expect_panel_folder


@contextmanager
def hold(panel_dir: Path) -> Iterator[None]:
    """Hold a panel folder; ``UsageError`` when it is none (none is made), ``StorageFault`` when another run has it."""
    from filelock import FileLock, Timeout

    expect_panel_folder(panel_dir)
    refuse_links(panel_dir / "run.lock")
    lock = FileLock(panel_dir / "run.lock")
    try:
        lock.acquire(timeout=0)
    except Timeout:
        raise StorageFault(
            f"{panel_dir}: another panelwear run is working in this folder; end it first (one run at a time)"
        ) from None
    except OSError as error:
        raise StorageFault(f"{panel_dir}: cannot be locked ({error.strerror})") from None
    try:
        for folder in (panel_dir, *panel_dir.glob("checkpoints/*"), panel_dir / "reports"):
            clean_left_over(folder)
        yield
    finally:
        lock.release()
