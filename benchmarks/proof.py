"""What proving a reading's pixels costs at 3840 x 2160: ms of one proof, by aperture.

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
from panelwear.screen.window import open_screen
from patterns.frame import Rect

PITCH_MM = 0.1557
"""Of a 27-inch panel of 3840 x 2160."""


def measure(repeats: int) -> None:
    screen = open_screen(0, clock=RealClock())
    width, height = screen.facts.width_px, screen.facts.height_px
    print(f"{width} x {height}, driver {screen.facts.driver}, proof: {screen.facts.proof}, {repeats} repeats")
    print(f"{'aperture mm':<14}{'px':>6}{'median ms':>11}{'p95 ms':>9}{'a reading ms':>14}")
    for code in (40.0, 90.0):
        screen.show(patterns.build("window", width, height, codes=(code,) * 3))
    for aperture_mm in (5, 10, 20, 40, 60):
        side = round(aperture_mm / PITCH_MM)
        around = Rect((width - side) // 2, (height - side) // 2, side, side)
        times = []
        for _ in range(repeats):
            begun = time.perf_counter()
            proof = screen.prove(around)
            times.append((time.perf_counter() - begun) * 1000)
            if not proof.holds:
                raise SystemExit(proof.why)
        median, late = statistics.median(times), sorted(times)[int(0.95 * repeats)]
        print(f"{aperture_mm:<14}{side:>6}{median:>11.2f}{late:>9.2f}{2 * median:>14.2f}")
    screen.close()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--size", default="3840x2160")
    parser.add_argument("--repeats", type=int, default=200)
    parser.add_argument("--here", action="store_true", help="use the display there is, not an own Xvfb")
    arguments = parser.parse_args()
    if arguments.here:
        measure(arguments.repeats)
        return
    command = ["Xvfb", "-displayfd", "1", "-screen", "0", f"{arguments.size}x24", "-nolisten", "tcp"]
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
