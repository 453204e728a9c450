"""Everything of a real inspection: an X server, a simulated probe in a process of its own, the program itself."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from panelwear.folder import checkpoint
from panelwear.readings.row import Row
from panelwear.upkeep.create import PanelSpec, new_panel
from tests.screens import Display, Program, program, xvfb

SIZE = (640, 360)

BRIEF = """
[reading]
settle_s = 0.1
reads = 3
[reference]
code = 128
share = 0.1
every = 4
reads = 2
"""
"""How tests read: briefly."""
SHORT = f"""
name = "short"
description = "A minute of a real inspection, for tests."
{BRIEF}
[[steps]]
kind = "ask"
topics = ["settings", "room"]
[[steps]]
kind = "place"
at = "centre"
[[steps]]
kind = "warm-up"
minutes = 0.02
max_minutes = 0.02
read = false
[[steps]]
kind = "read"
  [[steps.patches]]
  group = "window"
  codes = [40, 80, 120, 160]
  share = 0.1
[[steps]]
kind = "place"
at = "x250y500"
[[steps]]
kind = "read"
  [[steps.patches]]
  group = "field"
  codes = [60, 100]
[[steps]]
kind = "close-look"
"""


@contextmanager
def probe_server(display: Display, *options: str, dwell: bool = False) -> Iterator[str]:
    """Run the instrument server in a process of its own; yields the URL it prints.

    ``dwell``: it integrates as long as it is asked to.
    """
    at_once = () if dwell else ("--no-dwell",)
    command = [sys.executable, "-m", "panelwear", "probe", "serve", *at_once, *options]
    environment = {**display.environment(), "PYTHONUNBUFFERED": "1"}
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment)
    try:
        assert process.stdout is not None
        line = process.stdout.readline()
        assert line.startswith("url: "), line
        yield line.removeprefix("url: ").strip()
    finally:
        process.kill()
        process.wait()
        if process.stdout is not None:
            process.stdout.close()


@dataclass(frozen=True, slots=True)
class Desk:
    """A panel folder, a display and the sequence to run."""

    folder: Path
    display: Display

    def inspect(self, url: str, *options: str, dialect: str = "scpi-colorimeter") -> Sequence[str]:
        """Words of an inspection of this panel."""
        probe = ("--instrument", dialect, "--probe", url)
        return ("inspect", str(self.folder), "--hours", "500", "--yes", *probe, *options)

    def rows(self) -> list[Row]:
        """Rows stored so far."""
        found = checkpoint.find(self.folder, None)
        return found.rows()

    def run(self, *words: str) -> tuple[int, str]:
        """Run the program to its end; exit code and everything it said."""
        command = [sys.executable, "-m", "panelwear", *words]
        done = subprocess.run(
            command, check=False, capture_output=True, text=True, timeout=280, env=self.display.environment()
        )
        return done.returncode, done.stdout + done.stderr

    @contextmanager
    def running(self, *words: str) -> Iterator[Program]:
        """Run the program beside the test, from the folder that the panel's lies in."""
        with program(self.display, *words, cwd=self.folder.parent) as process:
            yield process


@contextmanager
def desk(folder: Path) -> Iterator[Desk]:
    """Make a panel folder beside an X server of the same size."""
    new_panel(folder / "harbour-desk", PanelSpec("harbour-desk", *SIZE, (596.7, 335.7)))
    (folder / "short.toml").write_text(SHORT, encoding="utf-8")
    with xvfb(*SIZE) as display:
        yield Desk(folder / "harbour-desk", display)
