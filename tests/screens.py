"""Real X servers for tests: start one, run the program on it, press keys, take every pixel it holds."""

from __future__ import annotations

import os
import queue
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import NoReturn

import numpy as np
import pytest
from filelock import FileLock

from panelwear.screen.grab import read_ppm
from patterns.frame import Picture

PICTURES = "PANELWEAR_PICTURES"
"""Environment variable: a folder in which journeys keep a picture of every step."""
PATIENCE_S = 60.0
"""How long to wait before a test is called failed; nothing normally takes a tenth of it."""


def need(*tools: str) -> None:
    """Skip the test with a reason when a tool is missing; on CI that is a failure."""
    missing = [tool for tool in tools if shutil.which(tool) is None]
    if not missing:
        return
    skip(f"needs {', '.join(missing)}")


def skip(reason: str) -> NoReturn:
    """Skip the test; on CI fail it."""
    if os.environ.get("CI") == "true":
        pytest.fail(f"{reason}, and on CI nothing may be skipped")
    pytest.skip(reason)


def clean_environment() -> dict[str, str]:
    """Copy the environment without anything that leads to a screen or changes how it is opened."""
    leading = ("SDL_", "PYGAME_", "WAYLAND_", "PANELWEAR_", "DISPLAY", "XAUTHORITY")
    return {name: value for name, value in os.environ.items() if not name.startswith(leading)}


@dataclass(frozen=True, slots=True)
class Display:
    """A running X server."""

    name: str
    """``:7``."""
    heads: tuple[tuple[int, int, int, int], ...]
    """x, y, w, h of each monitor, the primary one first."""
    process: subprocess.Popen[bytes]
    folder: Path
    """Of the server's own; gone with it."""

    def environment(self) -> dict[str, str]:
        """Environment for programs on this server: nothing else that leads to a screen, and nothing read before."""
        return {**clean_environment(), "DISPLAY": self.name, "XDG_STATE_HOME": tempfile.mkdtemp(dir=self.folder)}

    def grab(self, head: int = 0) -> Picture:
        """Take every pixel of one monitor."""
        command = ["import", "-silent", "-window", "root", "-depth", "8", "ppm:-"]
        done = subprocess.run(command, env=self.environment(), capture_output=True, check=True, timeout=PATIENCE_S)
        x, y, w, h = self.heads[head]
        return read_ppm(done.stdout)[y : y + h, x : x + w]

    def key(self, *keys: str) -> None:
        """Press keys by their X names (``Right``, ``shift+Up``, ``Escape``)."""
        self._xdotool("key", "--delay", "1", *keys)

    def type_text(self, text: str) -> None:
        """Type a word."""
        self._xdotool("type", "--delay", "5", text)

    def click(self, x: int, y: int) -> None:
        """Move the pointer and click."""
        self._xdotool("mousemove", str(x), str(y), "click", "1")

    def drag(self, start: tuple[int, int], *ways: tuple[int, int], button: int = 1) -> None:
        """Press a button at a point, go along, and let go at the last."""
        moves = [word for x, y in ways for word in ("mousemove", str(x), str(y))]
        self._xdotool("mousemove", *map(str, start), "mousedown", str(button), *moves, "mouseup", str(button))

    def keep(self, name: str) -> None:
        """Store what the server holds in the folder that ``PANELWEAR_PICTURES`` names, where it names one."""
        if folder := os.environ.get(PICTURES):
            Path(folder).mkdir(parents=True, exist_ok=True)
            self.save(Path(folder) / f"{name}.png")

    def save(self, path: Path) -> None:
        """Store what the server holds as a picture."""
        words = ["import", "-silent", "-window", "root", str(path)]
        subprocess.run(words, env=self.environment(), check=True, timeout=PATIENCE_S)

    @contextmanager
    def minimised(self) -> Iterator[None]:
        """Minimise the window that has the focus, and bring it back afterwards."""
        command = ["xdotool", "getactivewindow"]
        asked = subprocess.run(command, env=self.environment(), capture_output=True, text=True, check=True, timeout=60)
        self._xdotool("windowminimize", asked.stdout.strip())
        yield
        self._xdotool("windowactivate", asked.stdout.strip())

    def _xdotool(self, *words: str) -> None:
        subprocess.run(["xdotool", *words], env=self.environment(), check=True, timeout=PATIENCE_S)


@contextmanager
def _running(command: Sequence[str], heads: tuple[tuple[int, int, int, int], ...]) -> Iterator[Display]:
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
    try:
        assert process.stdout is not None
        number = process.stdout.readline().decode().strip()
        assert number, f"{command[0]} did not start (exit code {process.poll()})"
        with tempfile.TemporaryDirectory() as folder:
            yield Display(f":{number}", heads, process, Path(folder))
    finally:
        process.terminate()
        try:
            process.wait(timeout=10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
        if process.stdout is not None:
            process.stdout.close()


@contextmanager
def xvfb(width: int, height: int, *options: str) -> Iterator[Display]:
    """Run an X server of one monitor in memory, with further options of the server's own."""
    need("Xvfb", "xdotool", "import")
    command = ["Xvfb", "-displayfd", "1", "-screen", "0", f"{width}x{height}x24", "-nolisten", "tcp", "-noreset"]
    command += options
    with _running(command, ((0, 0, width, height),)) as display:
        yield display


COVER = """
import sys, time
import pygame
pygame.display.init()
width, height, seconds, number = (float(word) for word in sys.argv[1:])
surface = pygame.display.set_mode((int(width), int(height)), pygame.NOFRAME, display=int(number))
surface.fill((200, 0, 0))
pygame.display.flip()
print("UP", flush=True)
end_s = time.monotonic() + seconds
while time.monotonic() < end_s:
    pygame.event.pump()
    time.sleep(0.02)
"""


@contextmanager
def other_window(display: Display, width: int, height: int, seconds: float, head: int = 0) -> Iterator[None]:
    """Put somebody else's red window on a display for some seconds, and wait until it is gone again."""
    words = [sys.executable, "-c", COVER, str(width), str(height), str(seconds), str(head)]
    environment = {**display.environment(), "PYGAME_HIDE_SUPPORT_PROMPT": "1"}
    with subprocess.Popen(words, env=environment, stdout=subprocess.PIPE) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == b"UP\n"
        yield
        other.wait(timeout=PATIENCE_S)


@contextmanager
def window_manager(display: Display) -> Iterator[None]:
    """Run a window manager on a display."""
    need("openbox")
    process = subprocess.Popen(["openbox"], env=display.environment(), stderr=subprocess.DEVNULL)
    try:
        end_s = time.monotonic() + PATIENCE_S
        while time.monotonic() < end_s and process.poll() is None:
            words = ["xprop", "-root", "_NET_SUPPORTING_WM_CHECK"]
            done = subprocess.run(words, env=display.environment(), capture_output=True, text=True, check=False)
            if "window id" in done.stdout:
                break
            time.sleep(0.05)
        yield
    finally:
        process.terminate()
        process.wait(timeout=10)


TWO_HEADS = """
Section "Device"
    Identifier "card"
    Driver "dummy"
    VideoRam 256000
    Option "VirtualHeads" "2"
EndSection
Section "Monitor"
    Identifier "monitor"
    HorizSync 5.0-1000.0
    VertRefresh 5.0-200.0
EndSection
Section "Screen"
    Identifier "screen"
    Device "card"
    Monitor "monitor"
    DefaultDepth 24
    SubSection "Display"
        Depth 24
        Virtual 8192 4096
    EndSubSection
EndSection
"""
_MODES = {
    (1920, 1080): "173.00 1920 2048 2248 2576 1080 1083 1088 1120 -hsync +vsync",
    (2560, 1440): "312.25 2560 2752 3024 3488 1440 1443 1448 1493 -hsync +vsync",
}


@contextmanager
def two_heads() -> Iterator[Display]:
    """Run an X server of two monitors side by side: 1920 x 1080 (primary) and 2560 x 1440."""
    need("Xorg", "xrandr", "xdotool", "import")
    if os.geteuid() != 0:
        skip("a two-head X server without a graphics card needs root")
    sizes = list(_MODES)
    heads = ((0, 0, *sizes[0]), (sizes[0][0], 0, *sizes[1]))
    with tempfile.TemporaryDirectory() as folder:
        config = Path(folder) / "two-heads.conf"
        config.write_text(TWO_HEADS, encoding="utf-8")
        log = str(Path(folder) / "server.log")
        command = ["Xorg", "-displayfd", "1", "-config", str(config), "-logfile", log, "-noreset", "-novtswitch"]
        # One at a time: such servers share the console, whichever test process starts them.
        alone = FileLock(Path(tempfile.gettempdir()) / "panelwear-two-heads.lock")
        with alone, _running([*command, "-nolisten", "tcp", "-sharevts"], heads) as display:
            _arrange(display, sizes)
            yield display


def _arrange(display: Display, sizes: list[tuple[int, int]]) -> None:
    def xrandr(*words: str) -> str:
        done = subprocess.run(
            ["xrandr", *words],
            env=display.environment(),
            capture_output=True,
            text=True,
            timeout=PATIENCE_S,
            check=True,
        )
        return done.stdout

    outputs = [line.split()[0] for line in xrandr("--query").splitlines() if "connected" in line]
    at_x = 0
    for output, size in zip(outputs, sizes, strict=False):
        mode = f"test-{size[0]}x{size[1]}"
        xrandr("--newmode", mode, *_MODES[size].split())
        xrandr("--addmode", output, mode)
        words = ["--output", output, "--mode", mode, "--pos", f"{at_x}x0"]
        xrandr(*words, *(["--primary"] if at_x == 0 else []))
        at_x += size[0]
    # Only a full query makes the server say "connected" of an output that was switched on by hand.
    xrandr("--query")


@dataclass(slots=True)
class Program:
    """A running ``panelwear`` whose standard output is read line by line."""

    process: subprocess.Popen[str]
    lines: list[str] = field(default_factory=list)
    _queue: queue.Queue[str | None] = field(default_factory=queue.Queue)

    def start_reading(self) -> None:
        """Collect lines in the background."""
        threading.Thread(target=self._read, daemon=True).start()

    def _read(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self._queue.put(line.rstrip("\n"))
        self._queue.put(None)

    def wait_for(self, beginning: str, timeout_s: float = PATIENCE_S) -> str:
        """Wait for the next line that begins so, and return it."""
        end_s = time.monotonic() + timeout_s
        while True:
            try:
                line = self._queue.get(timeout=max(0.01, end_s - time.monotonic()))
            except queue.Empty:
                line = None
            if line is None:
                raise AssertionError(f"no line '{beginning}…' came; there were: {self.lines}; {self._complaint()}")
            self.lines.append(line)
            if line.startswith(beginning):
                return line

    def _complaint(self) -> str:
        if self.process.poll() is None or self.process.stderr is None:
            return "the program still runs"
        return f"it ended with {self.process.returncode}: {self.process.stderr.read()}"

    def wait_cautions(self) -> str:
        """Wait until the page of cautions is on the screen."""
        return self.wait_for("PAGE Before you go on")

    def wait_shown(self, name: str, timeout_s: float = PATIENCE_S) -> str:
        """Wait until a pattern is on the screen."""
        return self.wait_for(f"SHOWN {name} ", timeout_s)

    def answer(self, text: str) -> None:
        """Type a line on the program's terminal."""
        assert self.process.stdin is not None
        self.process.stdin.write(f"{text}\n")
        self.process.stdin.flush()

    def finish(self, timeout_s: float = PATIENCE_S) -> tuple[int, str]:
        """Wait for the end and return exit code and standard error."""
        code = self.process.wait(timeout=timeout_s)
        assert self.process.stderr is not None
        return code, self.process.stderr.read()

    def shown_at_s(self, since_s: float = 0.0) -> list[float]:
        """When each frame of the lines read so far was on, by the program's monotonic clock (this machine's)."""
        stamps = [float(line.split()[-1]) for line in self.lines if line.startswith("SHOWN ")]
        return [at_s for at_s in stamps if at_s >= since_s]

    def drain(self) -> list[str]:
        """Return all lines so far, once the program has ended."""
        while (line := self._queue.get(timeout=PATIENCE_S)) is not None:
            self.lines.append(line)
        return self.lines


@contextmanager
def program(
    display: Display | None,
    *words: str,
    extra: dict[str, str] | None = None,
    module: str = "panelwear",
    cwd: Path = Path(__file__).parent.parent,
) -> Iterator[Program]:
    """Run ``panelwear`` (or another module) on a display (``None``: without any), from a folder."""
    environment = clean_environment() if display is None else display.environment()
    environment |= {"PANELWEAR_TELL_SHOWN": "1", "PYTHONUNBUFFERED": "1", **(extra or {})}
    process = subprocess.Popen(
        [sys.executable, "-m", module, *words],
        env=environment,
        cwd=cwd,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    run = Program(process)
    run.start_reading()
    try:
        yield run
    finally:
        if process.poll() is None:
            process.send_signal(signal.SIGKILL)
            process.wait()
        for stream in (process.stdin, process.stdout, process.stderr):
            if stream is not None:
                stream.close()


def different_pixels(found: Picture, wanted: Picture) -> int:
    """Count the pixels that differ in any channel."""
    assert found.shape == wanted.shape, f"{found.shape} found, {wanted.shape} wanted"
    return int((np.asarray(found) != wanted).any(axis=2).sum())


def different_in_the_end(display: Display, wanted: Picture) -> int:
    """Wait for a picture to be on; returns how many pixels still differed when patience ended."""
    end_s = time.monotonic() + PATIENCE_S
    while (left := different_pixels(display.grab(), wanted)) and time.monotonic() < end_s:
        time.sleep(0.05)
    return left
