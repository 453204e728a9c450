"""The simulated camera at 24 megapixels: processor time and peak memory of each stage, its noise by EMVA 1288.

Run: python benchmarks/camera_noise.py
"""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np

from panelwear.simulation.camera.developing import developed, for_showing
from panelwear.simulation.camera.exif import Exif
from panelwear.simulation.camera.exposing import Optics
from panelwear.simulation.camera.model import FULL_CAMERA, CameraModel, Pose, Sensor
from panelwear.simulation.camera.noise import digital, fixed_pattern
from panelwear.simulation.camera.picture_files import jpeg_bytes, png_bytes, tiff_bytes
from panelwear.simulation.camera.raw_file import dng_bytes
from panelwear.simulation.camera.surface import PanelSurface
from panelwear.simulation.panel import SimulatedPanel
from patterns import build, raster

PANEL = (3840, 2160)
EXIF = Exif(0.25, 8.0, 100, 50.0, datetime(2026, 2, 3, 18, tzinfo=UTC))
BALANCE = (0.5, 1.0, 0.65)
KINDS = ("dng", "tiff", "png", "jpeg")


def peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def stages(kind: str, camera: CameraModel = FULL_CAMERA) -> Iterator[tuple[str, float, float]]:
    """Go from panel to file once; yields stage, seconds and peak memory of the process so far."""
    field = raster(build("field", *PANEL, codes=(150.0,) * 3))

    def timed(name: str, act: Callable[[], object]) -> tuple[object, tuple[str, float, float]]:
        began = time.process_time()
        result = act()
        return result, (name, time.process_time() - began, peak_mb())

    surface, told = timed(
        "wear of the panel, once a checkpoint", lambda: PanelSurface(SimulatedPanel().at(4400), PANEL)
    )
    yield told
    pattern, told = timed("fixed pattern, once a camera", lambda: fixed_pattern(camera.sensor))
    yield told
    optics, told = timed("where each pixel looks, once a pose", lambda: Optics(camera, Pose(), surface))  # type: ignore[arg-type]
    yield told
    mean, told = timed("light of a field, once a shot", lambda: optics.electrons(field, 0.25))  # type: ignore[attr-defined]
    yield told
    rng = np.random.default_rng(1)
    raw, told = timed("noise, each frame", lambda: digital(camera.sensor, pattern, mean, rng, exposure_s=0.25))  # type: ignore[arg-type]
    yield told
    _, told = timed(f"{kind.upper()} file, each frame", lambda: file_of(kind, raw, camera.sensor))
    yield told


def file_of(kind: str, raw: object, sensor: Sensor) -> bytes:
    if kind == "dng":
        return dng_bytes(raw, sensor, EXIF, BALANCE)  # type: ignore[arg-type]
    colours = developed(raw, sensor, BALANCE)  # type: ignore[arg-type]
    if kind == "tiff":
        return tiff_bytes(colours, EXIF)
    if kind == "png":
        return png_bytes(colours[..., 1], EXIF)
    return jpeg_bytes(for_showing(colours), EXIF)


def moire() -> Iterator[tuple[str, float, float]]:
    """The same light with the grid in focus: harmonics are worked out."""
    sharp = replace(FULL_CAMERA, lens=replace(FULL_CAMERA.lens, blur_px=0.25))
    yield from (row for row in stages("dng", sharp) if row[0].startswith("light"))


def transfer() -> Iterator[tuple[str, float, float]]:
    """Put-in and found values of the noise model: photon transfer, dark noise, PRNU, DSNU (EMVA 1288)."""
    sensor = replace(FULL_CAMERA.sensor, size_px=(1024, 1024), dead_share=0.0, hot_share=0.0)
    pattern = fixed_pattern(sensor)
    rng = np.random.default_rng(7)
    points, stacks = [], {}
    for electrons in (0.0, 1000.0, 5000.0, 15_000.0, 30_000.0):
        mean = np.full((1024, 1024), electrons, dtype=np.float32)
        stack = np.stack([digital(sensor, pattern, mean, rng, exposure_s=0.1).astype(np.float32) for _ in range(8)])
        points.append((float(stack.mean()), float(stack.var(axis=0, ddof=1).mean())))
        stacks[electrons] = float(stack.mean(axis=0).var() - points[-1][1] / 8)
    mean, variance = np.array(points).T
    gain, dark = np.polyfit(mean - mean[0], variance, 1, w=1 / variance)
    yield "K (DN/e-)", sensor.gain_dn_per_e, float(gain)
    yield "dark noise (e-)", sensor.read_noise_e, float(np.sqrt(dark - 1 / 12) / gain)
    prnu = np.sqrt(stacks[15_000.0] - stacks[0.0]) / (mean[3] - mean[0])
    yield "PRNU (%)", 100 * sensor.prnu, float(100 * prnu)
    yield "DSNU (e-)", sensor.dsnu_e, float(np.sqrt(stacks[0.0]) / gain)


def main() -> None:
    if len(sys.argv) > 1:
        for name, seconds, mb in moire() if sys.argv[1] == "moire" else stages(sys.argv[1]):
            print(f"{name}\t{seconds}\t{mb}")
        return
    width, height = FULL_CAMERA.sensor.size_px
    print(f"Frame {width} x {height}, panel {PANEL[0]} x {PANEL[1]} pixels; a process for each kind of file")
    print(f"{'':<42}{'cpu (s)':>9}{'peak (MB)':>11}")
    seen: set[str] = set()
    for kind in (*KINDS, "moire"):
        told = subprocess.run([sys.executable, __file__, kind], capture_output=True, text=True, check=True).stdout
        for line in told.splitlines():
            name, seconds, mb = line.split("\t")
            shown = f"{name}, grid in focus" if kind == "moire" else name
            if shown not in seen:
                print(f"{shown:<42}{float(seconds):>9.2f}{float(mb):>11.0f}")
            seen.add(shown)
    print(f"\n{'noise model, 8 frames of 1024 x 1024':<42}{'put in':>9}{'found':>11}")
    for name, put_in, found in transfer():
        print(f"{name:<42}{put_in:>9.3f}{found:>11.3f}")


if __name__ == "__main__":
    main()
