"""Flashes on a real X server: the screen is taken more than 100 times a second while keys are mashed, and counted.

``python -m benchmarks.flashes [--seconds 8] [--only WORD]``; it needs Xvfb and xdotool. The counter shares no code with
the governor. Frames are read from the server's own memory, so that taking them costs the program nothing; of its
1280 x 720 pixels every fifth of every fifth row. Each command is watched from before its window is there until its
window is gone.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from benchmarks.support.flash_counter import FlashCounter
from panelwear.errors import OWN_FAULT
from panelwear.start.known import FILE, write_known
from panelwear.upkeep.create import PanelSpec, new_panel
from patterns.frame import Picture, Rect
from sequences.model import Zone

WIDTH, HEIGHT, STRIDE = 1280, 720, 5
MOST = 3.0
LEAST_RATE_HZ = 100.0
EVERY_S = 0.005
TIMES = 4
"""How often a case is watched again where a busy machine let too few frames through: of it nothing is known."""
PATIENCE_S = 60.0
PEAK_CD_M2 = 300.0
"""Peak white that the counter reckons with: more than the panel folder states."""
STATED_CD_M2 = 250.0
ZONES = (
    Zone("middle", Rect(420, 260, 440, 200), (640.0, 360.0)),
    Zone("badge", Rect(900, 90, 220, 120), (1010.0, 150.0), "middle"),
)
PICTURES = ("SHOWN ", "PAGE ", "DESK ")
"""How the program tells that a pattern, a page or a desk is on."""
DESKTOP = str(Path(__file__).parents[1] / "docs" / "pictures" / "ageing.png")
DOWN_AND_BACK = (*["shift+Down"] * 8, "0")
"""Half the drive level down in sixteens, and back: more than any threshold."""
GO_ON = ("Return", "Return", "space", "Return", "Return", "Down", "p", "Return", "Return", "h")
PANEL_PAGE = ("Home", "Return", "End", "Home", "Tab", "F2", "h", "x", "Escape")
WALK = ("Right", "m", "Return", "Left", "b", "h", "Down", "Return", "u", "space")
SHOOTING = ("Return", "Next", "Next", "Return", "space", "p", "Return", "Left", "h", "Return", "Next", "Next")
MATCH = ("shift+Up", "shift+Up", "shift+Down", "space", "Return", "Left", "Right")
STEPS = """
name = "everything"
description = "Every kind of step, briefly."
[reading]
settle_s = 0.1
reads = 2
[reference]
code = 128
share = 0.1
every = 3
reads = 2
[[steps]]
kind = "ask"
topics = ["settings", "room"]
[[steps]]
kind = "place"
at = "centre"
[[steps]]
kind = "room"
reads = 2
[[steps]]
kind = "warm-up"
minutes = 0.02
max_minutes = 0.02
read = false
[[steps]]
kind = "hold"
photo = true
seconds = 0.001
  [[steps.patches]]
  group = "field"
  codes = [255, 0, 254, 1]
[[steps]]
kind = "read"
  [[steps.patches]]
  group = "window"
  codes = [255, 0, 254, 1, 160]
  share = 0.2
[[steps]]
kind = "read"
  [[steps.patches]]
  group = "zones"
  codes = [90, 255]
  reads = 2
[[steps]]
kind = "close-look"
"""


@dataclass(frozen=True, slots=True)
class Case:
    """What is shown, with which words, and the keys that are mashed meanwhile.

    ``{panel}``, ``{steps}`` and ``{probe}`` stand for a fresh panel folder, a sequence of every kind of step, and the
    link of a simulated meter.
    """

    name: str
    words: tuple[str, ...]
    keys: tuple[str, ...]
    interrupted: tuple[str, ...] = ()
    """A command that is killed in mid-run before the one that is watched."""
    pictures: int = 1
    """A case that shows fewer was refused or held up: nothing was seen of what it is for."""
    longer: float = 1.0
    """How many times as long keys are mashed: questions come first."""
    known: bool = False
    """The start screen knows the panel."""


METER = ("--instrument", "scpi-colorimeter", "--probe", "{probe}")
INSPECT = ("inspect", "{panel}", "--hours", "500", *METER)
LOOK = ("look", "{panel}", "--hours", "500", "--adapt", "0")
SHOOT = ("camera", "shoot", "{panel}", "--hours", "500")
CASES = (
    Case("start screen", (), ("Down", "h", "Down", "Up", "Home", "Return", "Down", "x", "Left", "Tab"), pictures=6),
    Case("start screen: a panel", (), PANEL_PAGE, pictures=6, known=True),
    Case(
        "show: window of 0.9 %", ("show", "window", "--code", "255", "--param", "share=0.009", "--yes"), DOWN_AND_BACK
    ),
    Case(
        "show: 20 % from a stated 3 m",
        ("show", "window", "--code", "255", "--param", "share=0.2", "--distance-mm", "3000", "--yes"),
        DOWN_AND_BACK,
    ),
    Case("show: whole field", ("show", "field", "--code", "255", "--yes"), DOWN_AND_BACK),
    Case("show: red field", ("show", "field", "--red", "255", "--yes"), DOWN_AND_BACK),
    Case("show: card on white", ("show", "field", "--code", "255", "--yes"), ("h",)),
    Case("show: checkerboard", ("show", "checkerboard", "--yes"), (*DOWN_AND_BACK, "h")),
    Case("show: with its caution", ("show", "field", "--code", "255"), ("Return", *DOWN_AND_BACK)),
    Case(
        "show: for a camera", ("show", "field", "--for-camera", "--levels", "255,0,255,0,255,0", "--yes"), ("Return",)
    ),
    Case("zones", ("zones", "{panel}", "--trace", DESKTOP), ("l", "t", "Tab", "c", "h", "h"), pictures=8),
    Case("screens: proof", ("screens", "--prove", "0"), ("Return", "h", "space")),
    Case("inspect: every kind of step", (*INSPECT, "--sequence", "{steps}"), GO_ON, pictures=3, longer=4),
    Case("inspect: nobody there", (*INSPECT, "--sequence", "{steps}", "--yes"), GO_ON, pictures=4),
    Case("inspect: held pictures", (*INSPECT[:4], "--no-probe", "--sequence", "{steps}"), GO_ON, pictures=3, longer=4),
    Case("inspect: probe located", (*INSPECT, "--sequence", "{steps}", "--locate", "--yes"), GO_ON, pictures=4),
    *(
        Case(f"inspect: {name}", (*INSPECT, "--sequence", name, "--warm-up", "0", "--yes"), GO_ON, pictures=2)
        for name in ("checkpoint", "uniformity", "zones")
    ),
    Case("spot", ("spot", *INSPECT[1:], "--warm-up", "0", "--yes"), GO_ON, pictures=2),
    Case(
        "resume",
        ("resume", "{panel}", "--probe", "{probe}"),
        GO_ON,
        interrupted=(*INSPECT, "--sequence", "{steps}", "--yes"),
    ),
    Case("camera shoot: by keys", SHOOT, SHOOTING, pictures=4, longer=4),
    Case("camera shoot: nobody there", (*SHOOT, "--yes"), SHOOTING, pictures=3, longer=4),
    Case("look: its questions", LOOK, WALK),
    Case("look: the walk", (*LOOK, "--yes"), WALK, pictures=3),
    Case("look: rest of the eyes", (*LOOK[:4], "--adapt", "1", "--yes"), ("Return", "h", "space")),
    Case("look: matching", (*LOOK, "--match", "badge", "--yes"), MATCH),
    Case("look: forced choice", (*LOOK, "--match", "badge", "--method", "forced-choice", "--yes"), ("Left", "Right")),
    Case("look: detection", (*LOOK, "--match", "badge", "--method", "detection", "--yes"), ("Left", "Right", "Return")),
    Case("look: matched again", (*LOOK, "--match", "badge", "--recheck", "--yes"), MATCH),
)


@dataclass(slots=True)
class Eye:
    """Looks at an X server's memory until told to stop."""

    frame_buffer: Path
    counter: FlashCounter = field(default_factory=lambda: FlashCounter(PEAK_CD_M2))
    seconds: float = 0.0
    in_time: bool = True
    """The command ended by itself once Escape was pressed."""
    traceback: bool = False
    """It ended in a fault of the program."""
    wanted: int = 1
    """Pictures that have to be shown for anything to be known."""
    shown: int = 0
    """Pictures the program says it has shown."""
    said: str = ""
    _ending: threading.Event = field(default_factory=threading.Event)

    @property
    def told(self) -> str:
        """What was seen, in a line."""
        seen = f"{self.counter.worst:.1f} flashes/s at most, {self.rate_hz:.0f} frames/s in {self.seconds:.1f} s"
        return f"{seen}, {self.shown} pictures{'' if self.in_time else ', did not end'}"

    @property
    def is_wrong(self) -> bool:
        """Whether anything dazzled, was looked at too seldom, was not shown at all, or did not end as it should."""
        seen = self.rate_hz >= LEAST_RATE_HZ and self.shown >= self.wanted
        return self.counter.worst > MOST or not seen or self.traceback or not self.in_time

    @property
    def rate_hz(self) -> float:
        """Frames taken a second."""
        return self.counter.frames / self.seconds if self.seconds else 0.0

    def look(self) -> None:
        """Take frames and count, until ``stop``."""
        memory = np.memmap(self.frame_buffer, dtype=np.uint8, mode="r")
        begun_s = time.monotonic()
        while not self._ending.is_set():
            at_s = time.monotonic()
            self.counter.take(_picture(memory), at_s)
            time.sleep(max(0.0, EVERY_S - (time.monotonic() - at_s)))
        self.seconds = time.monotonic() - begun_s

    def stop(self) -> None:
        """End ``look``."""
        self._ending.set()


def _picture(memory: np.ndarray[tuple[int], np.dtype[np.uint8]]) -> Picture:
    """Read every fifth pixel of an XWD file (X Window dump, version 7): header, colour map, rows of 32-bit pixels."""
    header = memory[:100].view(">u4")
    begin = int(header[0]) + int(header[19]) * 12
    row_bytes = int(header[12])
    rows = memory[begin : begin + HEIGHT * row_bytes].reshape(HEIGHT, row_bytes)[::STRIDE, : WIDTH * 4]
    return np.ascontiguousarray(rows.reshape(-1, WIDTH, 4)[:, ::STRIDE, 2::-1])


@contextmanager
def server() -> Iterator[tuple[str, Path]]:
    """Run an X server whose memory is a file."""
    with tempfile.TemporaryDirectory() as folder:
        words = ["Xvfb", "-displayfd", "1", "-screen", "0", f"{WIDTH}x{HEIGHT}x24", "-nolisten", "tcp", "-noreset"]
        process = subprocess.Popen([*words, "-fbdir", folder], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
        try:
            number = process.stdout.readline().decode().strip() if process.stdout is not None else ""
            yield f":{number}", Path(folder) / "Xvfb_screen0"
        finally:
            process.terminate()
            process.wait()
            if process.stdout is not None:
                process.stdout.close()


@contextmanager
def _filled(case: Case, display: str) -> Iterator[tuple[list[str], Path]]:
    """Put a fresh panel folder, the sequence and the link of a simulated meter in the place of their names.

    Gives the words and the folder in which the program keeps what it remembers.
    """
    words = (*case.words, *case.interrupted)
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        spec = PanelSpec("harbour-desk", WIDTH, HEIGHT, (596.7, 335.7), peak_cd_m2=STATED_CD_M2, zones=ZONES)
        new_panel(folder / "harbour-desk", spec)
        (folder / "everything.toml").write_text(STEPS, encoding="utf-8")
        link = stack.enter_context(_meter(display)) if "{probe}" in words else ""
        named = {"{panel}": str(folder / "harbour-desk"), "{steps}": str(folder / "everything.toml"), "{probe}": link}
        if case.known:
            write_known(folder / "panelwear" / FILE, (named["{panel}"],))
        yield [named.get(word, word) for word in words], folder


@contextmanager
def _meter(display: str) -> Iterator[str]:
    command = [sys.executable, "-m", "panelwear", "probe", "serve", "--no-dwell", "--values", "screen"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=_environment(display)) as process:
        try:
            yield process.stdout.readline().removeprefix("url: ").strip() if process.stdout is not None else ""
        finally:
            process.kill()


def watched(case: Case, seconds: float) -> Eye:
    """Run a command that shows pictures, mash keys for so long, leave by Escape, and return what was counted."""
    with server() as (display, frame_buffer), _filled(case, display) as (words, folder):
        environment = {**_environment(display), "XDG_STATE_HOME": str(folder)}
        wanted, before = words[: len(case.words)], words[len(case.words) :]
        if before:
            _interrupt(before, environment)
        eye = Eye(frame_buffer, wanted=case.pictures)
        looking = threading.Thread(target=eye.look)
        looking.start()
        command = [sys.executable, "-m", "panelwear", *wanted]
        process = subprocess.Popen(
            command, env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        )
        try:
            eye.shown, eye.said = _until_shown(process, 1 + case.known)  # once what is known has been looked up
            draining = threading.Thread(target=_drain, args=(process, eye))
            draining.start()
            _mash(process, case.keys, seconds * case.longer, environment)
            eye.in_time = _leave(process, environment)
        finally:
            process.kill()
            process.wait()
            eye.stop()
            looking.join()
        draining.join()
        for pipe in (process.stdin, process.stdout):
            if pipe is not None:
                pipe.close()
        eye.traceback = process.returncode == OWN_FAULT or "Traceback" in eye.said
        return eye


def seen(case: Case, seconds: float) -> Eye:
    """Watch a case, again where too few frames could be taken."""
    for _ in range(TIMES):
        eye = watched(case, seconds)
        if eye.rate_hz >= LEAST_RATE_HZ:
            break
    return eye


def _until_shown(process: subprocess.Popen[str], times: int = 1) -> tuple[int, str]:
    """Wait for so many pictures; how many there were before the program ended, and what it said."""
    shown, said = 0, ""
    for line in process.stdout or ():
        shown += line.startswith(PICTURES)
        said += line
        if shown == times:
            break
    return shown, said


def _drain(process: subprocess.Popen[str], eye: Eye) -> None:
    for line in process.stdout or ():
        eye.shown += line.startswith(PICTURES)
        eye.said += "" if line.startswith((*PICTURES, "LISTENS")) else line


def _interrupt(words: list[str], environment: dict[str, str]) -> None:
    """Run a command until its fourth picture, and kill it."""
    command = [sys.executable, "-m", "panelwear", *words]
    process = subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True)
    _until_shown(process, 4)
    process.kill()
    process.communicate()


def _mash(process: subprocess.Popen[str], keys: tuple[str, ...], seconds: float, environment: dict[str, str]) -> None:
    end_s = time.monotonic() + seconds
    while time.monotonic() < end_s and process.poll() is None:
        subprocess.run(["xdotool", "key", "--delay", "20", *keys * 4], env=environment, check=True)


def _leave(process: subprocess.Popen[str], environment: dict[str, str]) -> bool:
    """Press Escape, once a second where it goes one level back only; false where that ends nothing."""
    end_s = time.monotonic() + PATIENCE_S
    while process.poll() is None and time.monotonic() < end_s:
        subprocess.run(["xdotool", "key", "Escape"], env=environment, check=True)
        try:
            process.wait(1.0)
        except subprocess.TimeoutExpired:
            continue
    return process.poll() is not None


def _environment(display: str) -> dict[str, str]:
    leading = ("SDL_", "PYGAME_", "WAYLAND_", "DISPLAY", "XAUTHORITY")
    kept = {name: value for name, value in os.environ.items() if not name.startswith(leading)}
    return {**kept, "DISPLAY": display, "PANELWEAR_TELL_SHOWN": "1", "PYTHONUNBUFFERED": "1"}


def main() -> int:
    """Watch every case and print one line each; 1 when any flashes too often."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=8.0, help="how long keys are mashed (8)")
    parser.add_argument("--only", default="", metavar="WORD", help="cases with this word in their names")
    asked = parser.parse_args()
    wrong = False
    print(f"{'what':<34}{'seconds':>9}{'frames/s':>10}{'flashes/s, most':>18}{'pictures':>10}")
    for case in CASES:
        if asked.only not in case.name:
            continue
        eye = seen(case, asked.seconds)
        wrong |= eye.is_wrong
        line = f"{case.name:<34}{eye.seconds:>9.1f}{eye.rate_hz:>10.0f}{eye.counter.worst:>18.1f}"
        print(f"{line}{eye.shown:>10}{'  WRONG' if eye.is_wrong else ''}", flush=True)
    return int(wrong)


if __name__ == "__main__":
    sys.exit(main())
