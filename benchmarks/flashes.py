"""Flashes on a real X server: the screen is taken more than 100 times a second while keys are mashed, and counted.

Run ``python -m benchmarks.flashes``; it needs Xvfb and xdotool. The counter shares no code with the governor. Frames
are read from the server's own memory, so that taking them costs the program nothing.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from benchmarks.support.flash_counter import FlashCounter
from patterns.frame import Picture

WIDTH, HEIGHT, STRIDE = 480, 270, 2
MOST = 3.0
LEAST_RATE_HZ = 100.0
DOWN_AND_BACK = (*["shift+Down"] * 8, "0")
"""Half the drive level down in sixteens, and back: more than any threshold."""
CASES: tuple[tuple[str, tuple[str, ...], tuple[str, ...]], ...] = (
    ("window of 0.9 %", ("show", "window", "--code", "255", "--param", "share=0.009"), DOWN_AND_BACK),
    (
        "20 % from a stated 3 m",
        ("show", "window", "--code", "255", "--param", "share=0.2", "--distance-mm", "3000"),
        DOWN_AND_BACK,
    ),
    ("whole field", ("show", "field", "--code", "255"), DOWN_AND_BACK),
    ("red field", ("show", "field", "--red", "255"), DOWN_AND_BACK),
    ("card on white", ("show", "field", "--code", "255"), ("h",)),
    ("checkerboard", ("show", "checkerboard"), (*DOWN_AND_BACK, "h")),
)
"""What is shown, with which words, and the keys that are mashed meanwhile."""


@dataclass(slots=True)
class Eye:
    """Looks at an X server's memory until told to stop."""

    frame_buffer: Path
    counter: FlashCounter = field(default_factory=FlashCounter)
    seconds: float = 0.0
    _ending: threading.Event = field(default_factory=threading.Event)

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
            time.sleep(max(0.0, 0.007 - (time.monotonic() - at_s)))
        self.seconds = time.monotonic() - begun_s

    def stop(self) -> None:
        """End ``look``."""
        self._ending.set()


def _picture(memory: np.ndarray[tuple[int], np.dtype[np.uint8]]) -> Picture:
    """Read every second pixel of an XWD file (X Window dump, version 7): header, colour map, rows of 32-bit pixels."""
    header = memory[:100].view(">u4")
    begin = int(header[0]) + int(header[19]) * 12
    row_bytes = int(header[12])
    rows = memory[begin : begin + HEIGHT * row_bytes].reshape(HEIGHT, row_bytes)[:, : WIDTH * 4]
    return np.ascontiguousarray(rows.reshape(HEIGHT, WIDTH, 4)[::STRIDE, ::STRIDE, 2::-1])


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


def watched(words: Sequence[str], keys: Sequence[str], seconds: float) -> Eye:
    """Run a command that shows pictures, mash keys for so long, leave by Escape, and return what was counted."""
    with server() as (display, frame_buffer):
        environment = _environment(display)
        command = [sys.executable, "-m", "panelwear", *words, *(["--yes"] if words[0] == "show" else [])]
        process = subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True)
        for line in process.stdout or ():
            if line.startswith("SHOWN"):
                break
        eye = Eye(frame_buffer)
        looking = threading.Thread(target=eye.look)
        looking.start()
        try:
            end_s = time.monotonic() + seconds
            while keys and time.monotonic() < end_s and process.poll() is None:
                subprocess.run(["xdotool", "key", "--delay", "20", *keys * 4], env=environment, check=True)
            if not keys:
                time.sleep(seconds)
            subprocess.run(["xdotool", "key", "Escape"], env=environment, check=True)
            process.communicate(timeout=60)
        finally:
            eye.stop()
            looking.join()
            process.kill()
            process.wait()
        return eye


def _environment(display: str) -> dict[str, str]:
    import os

    leading = ("SDL_", "PYGAME_", "WAYLAND_", "DISPLAY", "XAUTHORITY")
    kept = {name: value for name, value in os.environ.items() if not name.startswith(leading)}
    return {**kept, "DISPLAY": display, "PANELWEAR_TELL_SHOWN": "1", "PYTHONUNBUFFERED": "1"}


def main() -> int:
    """Watch every case and print one line each; 1 when any flashes too often."""
    wrong = False
    print(f"{'what':<34}{'frames/s':>10}{'flashes/s, most':>18}")
    for name, words, keys in CASES:
        eye = watched(words, keys, 8.0)
        bad = eye.counter.worst > MOST or eye.rate_hz < LEAST_RATE_HZ
        wrong |= bad
        print(f"{name:<34}{eye.rate_hz:>10.0f}{eye.counter.worst:>18.1f}{'  WRONG' if bad else ''}")
    return int(wrong)


if __name__ == "__main__":
    sys.exit(main())
