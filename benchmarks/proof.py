"""What proving a reading's pixels costs at 3840 x 2160: ms of one proof, by pattern and aperture.

Usage: ``python benchmarks/proof.py`` starts its own X server (Xvfb), or takes the display there is with ``--here``.
Wanted: at most 2 ms a reading, which is two proofs (before and after) and the server's events.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import time

import patterns
from groundwork.clock import RealClock
from panelwear.screen.window import PygameScreen, open_screen
from patterns.frame import Rect

PITCH_MM = 0.1557
"""Of a 27-inch panel of 3840 x 2160."""
APERTURES_MM = (10, 27, 60)
CODES = (90.0, 90.0, 90.0)
PATTERNS = {"field": "field", "ramp": "smooth-ramp", "checkerboard": "checkerboard"}


def measure(repeats: int) -> None:
    screen = open_screen(0, clock=RealClock())
    width, height = screen.facts.width_px, screen.facts.height_px
    print(f"{width} x {height}, driver {screen.facts.driver}, proof: {screen.facts.proof}, {repeats} repeats")
    print(f"{'pattern':<14}{'aperture mm':>12}{'px':>6}{'median ms':>11}{'p95 ms':>9}{'a reading ms':>14}")
    for told, name in PATTERNS.items():
        screen.show(patterns.build(name, width, height, codes=CODES))
        for aperture_mm in APERTURES_MM:
            side = round(aperture_mm / PITCH_MM)
            around = Rect((width - side) // 2, (height - side) // 2, side, side)
            times = [_proved_ms(screen, around) for _ in range(repeats)]
            median, late = statistics.median(times), sorted(times)[int(0.95 * repeats)]
            print(f"{told:<14}{aperture_mm:>12}{side:>6}{median:>11.2f}{late:>9.2f}{2 * median:>14.2f}")
    screen.close()


def _proved_ms(screen: PygameScreen, around: Rect) -> float:
    begun = time.perf_counter()
    proof = screen.prove(around)
    took_ms = (time.perf_counter() - begun) * 1000
    if not (proof.holds and proof.compared):
        raise SystemExit(proof.why or "nothing was compared")
    return took_ms


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--size", default="3840x2160")
    parser.add_argument("--repeats", type=int, default=200)
    parser.add_argument("--sent", action="store_true", help="a server that shares no memory and sends every pixel")
    parser.add_argument("--here", action="store_true", help="use the display there is, not an own Xvfb")
    arguments = parser.parse_args()
    if arguments.here:
        measure(arguments.repeats)
        return
    command = ["Xvfb", "-displayfd", "1", "-screen", "0", f"{arguments.size}x24", "-nolisten", "tcp"]
    command += ["-extension", "MIT-SHM"] if arguments.sent else []
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL) as server:
        if server.stdout is None:
            raise SystemExit("Xvfb did not start")
        os.environ["DISPLAY"] = f":{server.stdout.readline().decode().strip()}"
        for name in ("WAYLAND_DISPLAY", "SDL_VIDEODRIVER"):
            os.environ.pop(name, None)
        try:
            measure(arguments.repeats)
        finally:
            server.terminate()


if __name__ == "__main__":
    main()
