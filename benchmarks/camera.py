"""Photographs against the truth: zones of lost light, registration, time and memory of a raw file; bad shoots.

A panel of 3840 x 2160 is photographed by a simulated camera of 24 megapixels at two checkpoints, the second time with
two zones 1 % and 0.5 % darker, the camera put back within some pixels. Beside it, on the same files, a script of 60
lines: raw files averaged, a homography by the panel's four corners, a division (``support/photograph_peer.py``).

    python benchmarks/camera.py [--shoots N] [--poses] [--faults]
"""

from __future__ import annotations

import argparse
import json
import resource
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from benchmarks.support.photograph_peer import peer_map
from benchmarks.support.shoot_stand import keep_record
from panelwear.camera.map_files import load_map
from panelwear.camera.photographs.view import PanelView
from panelwear.camera.qr_code import shoot_card
from panelwear.camera.shots import ShootLabel
from panelwear.folder.checkpoint import open_or_create
from panelwear.simulation.camera.faults import faults, spoiled
from panelwear.simulation.camera.model import CameraModel, Pose, Sensor
from panelwear.simulation.camera.poses import FOUR_POSES
from panelwear.simulation.camera.shoot_files import write_shoot
from panelwear.simulation.camera.shooting import Shoot
from panelwear.simulation.camera.shots import wanted_shots
from panelwear.simulation.camera.surface import PanelSurface, PutIn
from panelwear.simulation.panel import SimulatedPanel
from patterns.frame import Rect
from sequences.model import PanelFacts
from sequences.shoots import parse

PANEL, AREA_MM = (3840, 2160), (597.0, 336.0)
ZONES = (Rect(480, 560, 480, 560), Rect(2400, 1080, 480, 520))
CHANGES = (-0.01, -0.005)
LEVELS = (20, 120)
LIST = """
name = "bench"
description = "Two greys."
frames = 4
[[shots]]
kind = "dots"
[[shots]]
kind = "black"
[[shots]]
kind = "fields"
cd_m2 = [20, 120]
codes = [82, 182]
in_poses = true
"""
SURFACE = '[[shots]]\nkind = "even-surface"\n'
PANEL_TOML = """name = "harbour-desk"
pixels = [3840, 2160]
active_area_mm = [597.0, 336.0]
zones = [
  { name = "chart", rect_px = [0, 0, 3840, 2160] },
  { name = "one", rect_px = [480, 560, 480, 560], reference = "chart" },
  { name = "half", rect_px = [2400, 1080, 480, 520], reference = "chart" },
]
"""


@dataclass(frozen=True)
class Case:
    """One shoot on disk."""

    root: Path
    checkpoint: Path
    files: tuple[Path, ...]
    truth: dict

    def of(self, shot: str) -> list[Path]:
        """Return the photographs of a shot."""
        return [self.checkpoint / "photos" / one["file"] for one in self.truth["photographs"] if one["shot"] == shot]


def made(folder: Path, seed: int, *, worn: bool, poses: bool = False, fault: str = "") -> Case:
    root = folder / "harbour-desk"
    root.mkdir(parents=True)
    (root / "panel.toml").write_text(PANEL_TOML)
    put_in = [PutIn(zone, change) for zone, change in zip(ZONES, CHANGES, strict=True)] if worn else []
    surface = PanelSurface(SimulatedPanel().at(0.0), PANEL, put_in)
    listed = LIST + ("" if poses else SURFACE)
    wanted = wanted_shots(parse(listed), surface.state, PanelFacts(*PANEL, AREA_MM), poses=poses)
    now = datetime(2026, 1, 5, 18, 30, tzinfo=UTC)
    checkpoint = open_or_create(root, "harbour-desk", 0.0, None, now).directory
    label = ShootLabel("harbour-desk", checkpoint.name, "shoot-1", tuple(one.shot.name for one in wanted))
    rng = np.random.default_rng((seed, worn))
    tilt, turn, roll = rng.normal((1.0, -1.5, 0.5), 0.1)
    shift = (float(rng.normal(0, 0.001)), float(rng.normal(0, 0.001)))
    straight = Pose(tilt_deg=tilt, turn_deg=turn, roll_deg=roll, shift=shift)
    where = tuple(replace(one, tilt_deg=tilt, turn_deg=turn) for one in FOUR_POSES) if poses else (straight,)
    camera = CameraModel(sensor=Sensor(seed=seed))
    shoot = Shoot(
        camera, label, shoot_card(PANEL, label, ["harbour-desk"]), wanted, now, seed=2 * seed + worn, poses=where
    )
    if fault:
        shoot = spoiled(shoot, fault, PANEL)
    keep_record(checkpoint, "bench", listed, wanted)
    written = write_shoot(checkpoint / "photos", folder / "truth", shoot, surface)
    return Case(root, checkpoint, written.photographs, json.loads((folder / "truth.json").read_text()))


def read(case: Case, *more: str) -> tuple[int, str, float]:
    """Read a shoot in a process of its own; exit code, what was said, seconds a file."""
    words = [sys.executable, "-m", "panelwear", "camera", "read", str(case.root), *map(str, case.files), *more]
    start = time.perf_counter()
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    return done.returncode, done.stdout + done.stderr, (time.perf_counter() - start) / len(case.files)


def maps_of(case: Case) -> dict[int, tuple[np.ndarray, np.ndarray]]:
    found = {}
    for level in LEVELS:
        path = case.checkpoint / "maps" / f"grey-{level}cd.json"
        if path.exists():
            one = load_map(path)
            found[level] = (one.light, one.u_light / one.light)
    return found


def contrast(light: np.ndarray, u: np.ndarray, zone: Rect) -> tuple[float, float]:
    """Return a zone beside strips at its sides, and the standard uncertainty of that from noise, both relative."""
    x, y, w, h = (side // 8 for side in (zone.x, zone.y, zone.w, zone.h))
    inside = (slice(y + 3, y + h - 3), slice(x + 3, x + w - 3))
    sides = [(slice(y + 3, y + h - 3), slice(x - 23, x - 3)), (slice(y + 3, y + h - 3), slice(x + w + 3, x + w + 23))]
    level = np.mean([np.nanmean(light[side]) for side in sides])
    parts = [np.sqrt(np.nansum(u[part] ** 2)) / np.isfinite(u[part]).sum() for part in (inside, *sides)]
    return float(np.nanmean(light[inside]) / level - 1), float(np.hypot(parts[0], np.hypot(*parts[1:]) / 2))


def registration_px(case: Case) -> float:
    told = json.loads((case.checkpoint / "maps" / "read.json").read_text())["registration"]
    true = case.truth["views"][0]
    frame, grid = tuple(true["frame_px"]), np.stack(np.meshgrid(*(np.linspace(0, s, 40) for s in PANEL)), axis=-1)
    views = [
        PanelView(PANEL, frame, np.array(one["homography"]), tuple(centre), one["k1"], one["k2"])
        for one, centre in ((told, told["centre_px"]), (true, true["centre"]))
    ]
    apart = views[0].to_panel(views[1].to_camera(grid)) - grid
    return float(np.sqrt((apart**2).sum(axis=-1).mean()))


def judged(before: Case, after: Case, errors: list, ratios: list) -> None:
    one, other = maps_of(before), maps_of(after)
    for level in LEVELS:
        light = other[level][0] / one[level][0]
        u = np.hypot(other[level][1], one[level][1])
        for zone, change in zip(ZONES, CHANGES, strict=True):
            found, u_found = contrast(light, u, zone)
            errors.append(100 * (found - change))
            ratios.append((found - change) / u_found)


def by_peer(before: Case, after: Case, *, surface: bool) -> list[float]:
    errors = []
    for level in LEVELS:
        pair = [
            peer_map(case.of(f"grey-{level}cd"), case.of("even-surface") if surface else []) for case in (before, after)
        ]
        light = pair[1] / pair[0]
        for zone, change in zip(ZONES, CHANGES, strict=True):
            errors.append(100 * (contrast(light, np.zeros_like(light), zone)[0] - change))
    return errors


def row(name: str, errors: list[float], more: str = "") -> None:
    print(f"{name:<34}{np.sqrt(np.mean(np.square(errors))):>9.4f} %{np.abs(errors).max():>9.4f} %  {more}", flush=True)


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("--shoots", type=int, default=1, help="pairs of shoots a row (1)")
    asked.add_argument("--poses", action="store_true", help="the row of poses too")
    asked.add_argument("--faults", action="store_true", help="one shoot of each kind that has to be refused or marked")
    wish = asked.parse_args()
    ways = ("even-surface", "same-set-up", *(("poses",) if wish.poses else ()))
    errors, ratios, peers = ({way: [] for way in ways} for _ in range(3))
    off, took = [], []
    for number in range(wish.shoots):
        for poses in (False, True) if wish.poses else (False,):
            with tempfile.TemporaryDirectory() as folder:
                pair = [made(Path(folder) / str(worn), number + 1, worn=worn, poses=poses) for worn in (False, True)]
                for way in ("poses",) if poses else ("even-surface", "same-set-up"):
                    took += [read(case, "--shading", way)[2] for case in pair]
                    judged(*pair, errors[way], ratios[way])
                    peers[way] += by_peer(*pair, surface=way == "even-surface")
                    off += [registration_px(case) for case in pair]
    print(f"{'change of a zone':<34}{'rms error':>11}{'greatest':>11}")
    for way in ways:
        inside = np.mean(np.abs(ratios[way]) < 1.96)
        row(way, errors[way], f"{len(errors[way])} zones, {100 * inside:.0f} % within 1.96 u of noise alone")
        row("  a script of 60 lines", peers[way])
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1e6
    rms = np.sqrt(np.mean(np.square(off)))
    print(f"registration {rms:.3f} panel px rms; {np.mean(took):.1f} s a raw file; {peak:.2f} GB")
    for fault in faults() if wish.faults else ():
        with tempfile.TemporaryDirectory() as folder:
            case = made(Path(folder), 1, worn=True, fault=fault)
            code, said, _ = read(case, *(("--checkpoint", case.checkpoint.name) if fault == "cut-off" else ()))
            marked = "marked" if code == 0 and "What limits them" in said else "refused" if code else "READ AS GOOD"
            print(f"{fault:<34}{marked}, {len(maps_of(case))} of 2 grey maps", flush=True)


if __name__ == "__main__":
    main()
