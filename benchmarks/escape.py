"""How soon Escape is answered, on a real X server, on every screen of words and over a patch of a run.

``python -m benchmarks.escape [--times 3] [--only WORD]``; it needs Xvfb and xdotool. Prints, at 1280 x 720 and at
3840 x 2160, the milliseconds from before the key is sent (the sending program's own start included) until the first
pixel of the picture is another: the slowest of so many tries. Frames are read from the server's own memory.
"""

from __future__ import annotations

import argparse
import os
import queue
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import numpy.typing as npt

from panelwear.start.known import FILE, write_known
from panelwear.upkeep.create import PanelSpec, new_panel
from patterns.frame import Rect
from sequences.model import Zone

SIZES = ((1280, 720), (3840, 2160))
WANTED_MS = 200.0
PATIENCE_S = 60.0
STILL_S = 0.5
"""A picture that has not changed for so long has come on whole."""
EVERY_S = 0.002
SEQUENCE = """
name = "brief"
description = "A warm-up and patches long enough to be left."
[reading]
settle_s = 20
reads = 2
[[steps]]
kind = "ask"
topics = ["settings"]
[[steps]]
kind = "place"
at = "centre"
[[steps]]
kind = "warm-up"
minutes = 0.3
max_minutes = 0.3
read = false
[[steps]]
kind = "read"
  [[steps.patches]]
  group = "window"
  codes = [160]
  share = 0.2
"""


@dataclass(frozen=True, slots=True)
class Case:
    """A screen, how the program is begun, and the way there: lines that are waited for, and keys pressed then."""

    name: str
    words: tuple[str, ...]
    way: tuple[tuple[str, tuple[str, ...]], ...]


LISTED = "/harbour-desk"
"""A row of the first page: the panels known have been looked up."""
FIRST, PANEL = (LISTED, ("Home", "Return")), ("PAGE harbour-desk", ())
RUN = (
    "inspect",
    "{panel}",
    "--hours",
    "500",
    "--probe",
    "simulated",
    "--instrument",
    "plain-lines",
    "--sequence",
    "{sequence}",
)
TO_FORM = (("LISTENS", ("Return",)), ("PAGE Before the first light", ()))
TO_PLACING = (TO_FORM[0], ("LISTENS", ("End", "Return")), ("PAGE How the probe is put on", ()))

SHOOT = ("camera", "shoot", "{panel}", "--hours", "500")
TO_SHOOT = (("LISTENS", ("Return",)), ("PAGE Photographing", ()))
TO_SHOT = (TO_SHOOT[0], ("PAGE Photographing", ()), ("LISTENS", ("Return",)), ("PAGE Photograph 1", ()))
TO_CARD = (*TO_SHOT, ("LISTENS", ("Return",)), ("SHOWN label-card", ()))


FORM_TYPED = (TO_FORM[0], ("LISTENS", ("6",)), ("PAGE Before the first light", ()))
TO_LEAVING = (*FORM_TYPED[:-1], (FORM_TYPED[-1][0], ("Escape",)), ("PAGE Leave?", ()))
INSPECTION = "Inspection: harbour-desk"
CHOICES = ("Down", "Down", "Return")
"""To the sequence's row of an inspection's form, and its list."""


def _on_panel(steps_down: int, page: str) -> tuple[tuple[str, tuple[str, ...]], ...]:
    return (FIRST, ("PAGE harbour-desk", ("Home", *["Down"] * steps_down, "Return")), (f"PAGE {page}", ()))


TO_INSPECTION = _on_panel(3, INSPECTION)[:-1]
TYPED = (*TO_INSPECTION, (f"PAGE {INSPECTION}", ("5",)))

CASES = (
    Case("start: first page", (), ((LISTED, ()),)),
    Case("start: keys", (), ((LISTED, ("h",)), ("PAGE Keys", ()))),
    Case("start: a panel", (), (FIRST, PANEL)),
    Case("start: new panel", (), ((LISTED, ("Home", "Down", "Return")), ("PAGE New panel", ()))),
    Case("start: open a folder", (), ((LISTED, ("End", "Up", "Return")), ("PAGE Open a panel folder", ()))),
    Case("start: rehearsal", (), ((LISTED, ("End", "Return")), ("PAGE Rehearsal", ()))),
    Case("start: by-eye form", (), _on_panel(1, "By-eye check: harbour-desk")),
    Case("start: spot form", (), _on_panel(2, "Spot: harbour-desk")),
    Case("start: inspection form", (), _on_panel(3, "Inspection: harbour-desk")),
    Case("start: a form typed into", (), TYPED),
    Case("start: is what was typed given up?", (), (*TYPED, (f"PAGE {INSPECTION}", ("Escape",)), ("PAGE Back?", ()))),
    Case("start: choices of a row", (), (*TO_INSPECTION, (f"PAGE {INSPECTION}", CHOICES), ("PAGE Sequence", ()))),
    Case("start: a form's keys", (), (*TO_INSPECTION, (f"PAGE {INSPECTION}", ("F1",)), ("PAGE Keys", ()))),
    Case("zones", ("zones", "{panel}"), (("DESK ", ()),)),
    Case("zones: unsaved work", ("zones", "{panel}"), (("DESK ", ("Tab", "Right", "Escape")), ("PAGE Save", ()))),
    Case("run: cautions", RUN, (("LISTENS", ()),)),
    Case("run: form", RUN, TO_FORM),
    Case("run: form typed into", RUN, FORM_TYPED),
    Case("run: is what was typed given up?", RUN, TO_LEAVING),
    Case("run: form's keys", RUN, (*TO_FORM, ("LISTENS", ("F1",)), ("PAGE Keys", ()))),
    Case("run: how the probe is put on", RUN, TO_PLACING),
    Case("shoot: what comes", SHOOT, TO_SHOOT),
    Case("shoot: before a photograph", SHOOT, TO_SHOT),
    Case("shoot: title card", SHOOT, TO_CARD),
    Case("run: target", (*RUN, "--yes"), (("SHOWN target", ()),)),
)
"""The start screen's list: panels first, then new panel, open a folder, rehearsal."""


@dataclass(slots=True)
class Told:
    """What a program tells, line by line."""

    process: subprocess.Popen[str]
    lines: queue.Queue[str | None] = field(default_factory=queue.Queue)

    def read(self) -> None:
        """Collect lines until the program ends."""
        for line in self.process.stdout or ():
            self.lines.put(line.rstrip("\n"))
        self.lines.put(None)

    def wait_for(self, part: str) -> None:
        """Wait for a line with such a part."""
        said = []
        while True:
            line = self.lines.get(timeout=PATIENCE_S)
            if line is None:
                raise RuntimeError(f"no line with '{part}' came; there were {said[-8:]}")
            said.append(line)
            if part in line:
                return


@contextmanager
def server(width: int, height: int) -> Iterator[tuple[str, npt.NDArray[np.uint8]]]:
    """Run an X server and give its name and its memory, pixels alone."""
    with tempfile.TemporaryDirectory() as folder:
        words = ["Xvfb", "-displayfd", "1", "-screen", "0", f"{width}x{height}x24", "-nolisten", "tcp", "-noreset"]
        with subprocess.Popen(
            [*words, "-fbdir", folder], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
        ) as process:
            try:
                number = process.stdout.readline().strip() if process.stdout is not None else ""
                memory = np.memmap(Path(folder) / "Xvfb_screen0", dtype=np.uint8, mode="r")
                header = memory[:100].view(">u4")
                begin = int(header[0]) + int(header[19]) * 12
                yield f":{number}", memory[begin : begin + height * int(header[12])]
            finally:
                process.terminate()


def answered_ms(case: Case, width: int, height: int) -> float:
    """Bring a screen on, press Escape, and return how long the picture stayed as it was."""
    with server(width, height) as (display, pixels), tempfile.TemporaryDirectory() as folder:
        things = _things(Path(folder), width, height)
        words = [word.format(**things) for word in case.words]
        environment = _environment(display, Path(folder))
        process = subprocess.Popen(
            [sys.executable, "-m", "panelwear", *words],
            env=environment, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        )  # fmt: skip
        told = Told(process)
        reading = threading.Thread(target=told.read)
        reading.start()
        try:
            for line, keys in case.way:
                told.wait_for(line)
                for key in keys:
                    _press(key, environment)
            return _measured(pixels, environment)
        finally:
            process.kill()
            process.wait()
            reading.join()
            if process.stdout is not None:
                process.stdout.close()


def _measured(pixels: npt.NDArray[np.uint8], environment: dict[str, str]) -> float:
    before = _still(pixels)
    begun_s = time.monotonic()
    pressing = threading.Thread(target=_press, args=("Escape", environment))
    pressing.start()
    while np.array_equal(_some(pixels), before) and time.monotonic() - begun_s < PATIENCE_S:
        time.sleep(EVERY_S)
    took_ms = 1000.0 * (time.monotonic() - begun_s)
    pressing.join()
    return took_ms


def _some(pixels: npt.NDArray[np.uint8]) -> npt.NDArray[np.uint8]:
    """Copy one pixel in 61: every row has some, and letters are made of many."""
    return pixels.view(np.uint32)[::61].copy().view(np.uint8)


def _still(pixels: npt.NDArray[np.uint8]) -> npt.NDArray[np.uint8]:
    end_s = time.monotonic() + PATIENCE_S
    seen = _some(pixels)
    while time.monotonic() < end_s:
        time.sleep(STILL_S)
        now = _some(pixels)
        if np.array_equal(now, seen) and now.any():
            return now
        seen = now
    raise RuntimeError("the picture did not come to stand still")


def _press(key: str, environment: dict[str, str]) -> None:
    subprocess.run(["xdotool", "key", key], env=environment, check=True)


def _things(folder: Path, width: int, height: int) -> dict[str, str]:
    zone = Zone("middle", Rect(width // 3, height // 3, width // 3, height // 3), (width / 2, height / 2))
    panel, sequence, known = folder / "harbour-desk", folder / "brief.toml", folder / "panelwear" / FILE
    new_panel(panel, PanelSpec("harbour-desk", width, height, (596.7, 335.7), zones=(zone,)))
    sequence.write_text(SEQUENCE, encoding="utf-8")
    write_known(known, (str(panel),))
    return {"panel": str(panel), "sequence": str(sequence)}


def _environment(display: str, state: Path) -> dict[str, str]:
    leading = ("SDL_", "PYGAME_", "WAYLAND_", "DISPLAY", "XAUTHORITY")
    kept = {name: value for name, value in os.environ.items() if not name.startswith(leading)}
    told = {"PANELWEAR_TELL_SHOWN": "1", "PYTHONUNBUFFERED": "1"}
    return {**kept, **told, "DISPLAY": display, "XDG_STATE_HOME": str(state)}


def main() -> int:
    """Print one line a screen; 1 where any takes longer than is wanted."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=3, help="tries of each (3)")
    parser.add_argument("--only", default="", metavar="WORD", help="screens with this word in their names")
    asked = parser.parse_args()
    print(f"{'ms until Escape is answered, slowest':<38}" + "".join(f"{f'{w} x {h}':>14}" for w, h in SIZES))
    slow = False
    for case in CASES:
        if asked.only not in case.name:
            continue
        took = [max(answered_ms(case, *size) for _ in range(asked.times)) for size in SIZES]
        late = any(ms > WANTED_MS for ms in took)
        slow |= late
        print(f"{case.name:<38}" + "".join(f"{ms:>14.0f}" for ms in took) + ("  SLOW" if late else ""), flush=True)
    return int(slow)


if __name__ == "__main__":
    sys.exit(main())
