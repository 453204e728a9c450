"""A panel folder with a sealed checkpoint and other people's files, and runs on it in children that may be killed."""

from __future__ import annotations

import os
import shutil
import signal
import sys
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from benchmarks.support.fault_counts import (
    Counts,
    files_changed,
    grey_mispaired,
    lines_lost,
    readings_missing,
)
from panelwear.errors import OWN_FAULT, PanelwearError, StorageFault
from panelwear.folder import checkpoint
from panelwear.folder.lock import hold
from panelwear.readings import store
from panelwear.readings.row import Row
from panelwear.run.session import resume_checkpoint, run_checkpoint
from tests.panelwear.run.bench import Stand

PATIENCE_S = 60.0
HOURS = 500
NOW = datetime(2026, 2, 3, 20, tzinfo=UTC)
OTHERS = {"notes.txt": b"lamp replaced in March\n", "photos.zip": bytes(range(256)) * 40}


@dataclass(slots=True)
class FaultStand:
    """Where the tries are made; each on a fresh copy of ``template``."""

    template: Path
    whole: list[Row]
    """Rows of an undisturbed run."""
    place: Path

    @classmethod
    def made(cls, place: Path) -> FaultStand:
        """Make the template: a checkpoint at 100 h that is sealed, notes and pictures, and nothing at 500 h yet."""
        stand = Stand(place / "template")
        run_checkpoint(stand.bench(), stand.job())
        stand.checkpoint.close(NOW)
        for name, data in OTHERS.items():
            (stand.folder / name).write_bytes(data)
            (stand.checkpoint.directory / "photos" / name).write_bytes(data)
        return cls(stand.folder, stand.checkpoint.rows(), place)

    def copy(self) -> Path:
        """Return a fresh copy of the template."""
        folder = self.place / "try"
        shutil.rmtree(folder, ignore_errors=True)
        shutil.copytree(self.template, folder)
        return folder


def files_of(folder: Path) -> dict[str, bytes]:
    """Read every file of a folder but the lock, by its path there."""
    found = (path for path in folder.rglob("*") if path.is_file() and path.name != "run.lock")
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}


def begin(folder: Path, before: Callable[[int], None] | None = None) -> None:
    """Begin the checkpoint of the tries and run it to its end."""
    stand = _stand(folder)
    with hold(folder):
        found = checkpoint.open_or_create(folder, "harbour-desk", HOURS + 1, 12, NOW)
        run_checkpoint(stand.bench(before), replace(stand.job(), checkpoint=found))


def go_on(folder: Path) -> None:
    """Do what a person does after a fault: resume, or begin again where nothing had begun."""
    stand = _stand(folder)
    there = [one for one in checkpoint.all_of(folder) if not one.is_closed]
    if not there or not there[-1].record["sessions"]:
        begin(folder)
        return
    if there[-1].session["status"] == "done":
        return
    with hold(folder):
        resume_checkpoint(stand.bench(), replace(stand.job(), checkpoint=there[-1]))


def _stand(folder: Path) -> Stand:
    """Return what a stand is, on a folder that is there."""
    from panelwear.folder.panel import load_panel
    from tests.panelwear.run.bench import small_steps

    stand = Stand.__new__(Stand)
    stand.folder, stand.steps, stand.panel = folder, small_steps(), load_panel(folder)
    stand.checkpoint = checkpoint.all_of(folder)[0]
    return stand


@dataclass(frozen=True, slots=True)
class Ended:
    """How a child ended."""

    code: int
    """Exit code of the command it stands for; -9: killed."""
    acknowledged: int
    """Readings that the program was told are on the disk."""
    in_time: bool = True


def in_child(action: Callable[[], None], prepare: Callable[[], None] = lambda: None, kill_s: float = 0.0) -> Ended:
    """Run an action in a child of its own, as the command line would end it.

    Args:
        action: what is done.
        prepare: done first in the child.
        kill_s: when it is killed; 0: it is not.
    """
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        _carry_out(action, prepare, writing)
    os.close(writing)
    if kill_s:
        time.sleep(kill_s)
        os.kill(child, signal.SIGKILL)
    code, in_time = _waited(child)
    with os.fdopen(reading, "rb") as told:
        return Ended(code, len(told.read()), in_time)


def _carry_out(action: Callable[[], None], prepare: Callable[[], None], writing: int) -> None:
    """Never returns: ends this process with the exit code of the command line."""
    code, tell, append = 0, os.write, store.Store.append

    def acknowledged(self: store.Store[Row], record: Row) -> None:
        append(self, record)
        tell(writing, b".")

    store.Store.append = acknowledged  # type: ignore[method-assign]
    try:
        prepare()
        action()
    except PanelwearError as error:
        code = error.exit_code
    except OSError:
        code = StorageFault.exit_code  # as panelwear.cli has it: a sentence with the system's reason
    except Exception:
        traceback.print_exc(file=sys.stderr)
        code = OWN_FAULT
    finally:
        os._exit(code)


def _waited(child: int) -> tuple[int, bool]:
    end_s = time.monotonic() + PATIENCE_S
    while time.monotonic() < end_s:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status), True
        time.sleep(0.002)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return -signal.SIGKILL, False


def stored_lines(folder: Path) -> list[bytes]:
    """Return the whole lines of the open checkpoint's readings, the header among them."""
    data = b"".join(path.read_bytes() for path in open_folders(folder) for path in path.glob("readings.csv"))
    return data[: store.whole_length(data)].splitlines(keepends=True)


def open_folders(folder: Path) -> list[Path]:
    """Return the folders of the checkpoints that the tries make."""
    return sorted((folder / "checkpoints").glob(f"*-h{HOURS + 1}*"))


def judged(stand: FaultStand, folder: Path, first: Ended, expected: tuple[int, ...], ready: bool = True) -> Counts:
    """Go on after a fault, and judge all that is there then.

    Args:
        stand: the template and the undisturbed rows.
        folder: of the try.
        first: how the run with the fault ended.
        expected: exit codes it may end with.
        ready: what the program asked a person to do could be done.
    """
    owed = stored_lines(folder)
    unstored = max(0, first.acknowledged - max(0, len(owed) - 1))
    second = in_child(lambda: go_on(folder))
    stuck = not (ready and first.in_time and second.in_time and second.code == 0)
    rows: list[Row] = []
    kept: list[bytes] = []
    for path in open_folders(folder):
        kept += [file.read_bytes() for file in path.glob("readings*.csv")]
        if (path / "readings.csv").exists():
            rows += store.read_journal(path / "readings.csv", Row)
    sealed = {name: data for name, data in files_of(stand.template).items() if name != "probe.toml"}
    return Counts(
        tries=1,
        lost=unstored + lines_lost(owed, kept) + (0 if stuck else readings_missing(rows, stand.whole)),
        mispaired=grey_mispaired(rows),
        overwritten=files_changed(sealed, files_of(folder)),
        stuck=int(stuck),
        tracebacks=int(first.code not in (*expected, 0)) + int(second.code == OWN_FAULT),
    )
