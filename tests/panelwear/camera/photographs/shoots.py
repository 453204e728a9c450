"""A panel folder with one simulated shoot in it: a small panel before a camera of few pixels, out of focus enough."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from benchmarks.support.shoot_stand import keep_record
from panelwear.camera.field_map import FieldMap
from panelwear.camera.map_files import MAPS, load_map
from panelwear.camera.qr_code import shoot_card
from panelwear.camera.shots import ShootLabel
from panelwear.folder.checkpoint import open_or_create
from panelwear.simulation.camera.faults import Fault, spoiled
from panelwear.simulation.camera.model import CameraModel, Lens, Pose, Sensor
from panelwear.simulation.camera.poses import FOUR_POSES
from panelwear.simulation.camera.shoot_files import Kind, write_shoot
from panelwear.simulation.camera.shooting import Shoot
from panelwear.simulation.camera.shots import wanted_shots
from panelwear.simulation.camera.surface import PanelSurface, PutIn
from panelwear.simulation.panel import SimulatedPanel
from patterns.frame import Rect
from sequences.model import PanelFacts
from sequences.shoots import parse

PANEL = (480, 270)
AREA_MM = (597.0, 336.0)
BAND, BADGE = Rect(60, 70, 60, 70), Rect(300, 135, 60, 65)
"""One per cent and half a per cent are taken from the light there."""
CAMERA = CameraModel(sensor=Sensor(size_px=(2400, 1600), pitch_um=15.0), lens=Lens(blur_px=3.4))
NEARER = replace(CAMERA, sensor=Sensor(size_px=(3000, 2000), pitch_um=12.0))
LIST = """
name = "try"
description = "A few shots."
frames = 2
[[shots]]
kind = "dots"
{stairs}
[[shots]]
kind = "black"
[[shots]]
kind = "fields"
cd_m2 = [{levels}]
codes = [{codes}]
in_poses = true
[[shots]]
kind = "fields"
hues = ["red", "green", "blue"]
codes = [200]
{surface}
"""
_PANEL_TOML = """name = "harbour-desk"
pixels = [480, 270]
active_area_mm = [597.0, 336.0]
refresh_hz = 60
zones = [
  {{ name = "chart", rect_px = [0, 0, 480, 270] }},
  {{ name = "vessel-list", rect_px = {band}, reference = "chart" }},
  {{ name = "clock-badge", rect_px = {badge}, reference = "chart" }},
]
"""


@dataclass(frozen=True, slots=True)
class Taken:
    """A simulated shoot on disk."""

    panel: Path
    checkpoint: Path
    files: tuple[Path, ...]
    truth: Path

    def arguments(self, *more: str) -> list[str]:
        return ["camera", "read", str(self.panel), *map(str, self.files), *more]

    def maps(self) -> dict[str, FieldMap]:
        paths = (self.checkpoint / MAPS).glob("*.json")
        return {path.stem: load_map(path) for path in sorted(paths) if path.name != "read.json"}

    def true_light(self, name: str, channel: str) -> NDArray[np.float64]:
        """Return the true light of each cell: luminance of a grey, else what the colour's own filter sees."""
        with np.load(self.truth.with_suffix(".npz")) as numbers:
            if channel == "grey":
                return numbers[f"{name}.cd_m2"].astype(float)
            return numbers[f"{name}.filters"][("red", "green", "blue").index(channel)].astype(float)


def taken(
    folder: Path, *, fault: Fault | None = None, kind: Kind = "dng", poses: bool = False, surface: bool = True,
    stairs: bool = False, levels: tuple[int, ...] = (60,), seed: int = 1,
) -> Taken:  # fmt: skip
    """Take a shoot of the demo panel with two zones of lost light."""
    root = folder / "harbour-desk"
    root.mkdir(parents=True)
    rects = {name: [rect.x, rect.y, rect.w, rect.h] for name, rect in (("band", BAND), ("badge", BADGE))}
    (root / "panel.toml").write_text(_PANEL_TOML.format(**rects))
    lit = PanelSurface(SimulatedPanel().at(0.0), PANEL, [PutIn(BAND, -0.01), PutIn(BADGE, -0.005)])
    listed = LIST.format(
        stairs='[[shots]]\nkind = "stairs"' if stairs else "",
        surface='[[shots]]\nkind = "even-surface"' if surface else "",
        levels=", ".join(map(str, levels)),
        codes=", ".join(str(100 + 10 * n) for n in range(len(levels))),
    )
    wanted = wanted_shots(parse(listed), lit.state, PanelFacts(*PANEL, AREA_MM), poses=poses)
    now = datetime(2026, 1, 5, 18, 30, 12, tzinfo=UTC)
    checkpoint = open_or_create(root, "harbour-desk", 0.0, None, now).directory
    label = ShootLabel("harbour-desk", checkpoint.name, "shoot-1", tuple(one.shot.name for one in wanted))
    where = FOUR_POSES if poses else (Pose(tilt_deg=2.0, turn_deg=-3.0, roll_deg=0.7),)
    camera = NEARER if poses else CAMERA
    shoot = Shoot(camera, label, shoot_card(PANEL, label, ["harbour-desk"]), wanted, now, seed=seed, poses=where)
    if fault is not None:
        shoot = spoiled(shoot, fault, PANEL)
    keep_record(checkpoint, "try", listed, wanted)
    written = write_shoot(checkpoint / "photos", folder / "truth", shoot, lit, kind=kind)
    return Taken(root, checkpoint, written.photographs, folder / "truth")


def contrast(light: NDArray[np.floating], zone: Rect) -> float:
    """Return how much lighter a zone's inside is than strips on both sides of it, in per cent."""
    inside = light[zone.y + 4 : zone.bottom - 4, zone.x + 4 : zone.right - 4]
    rows = light[zone.y : zone.bottom]
    strips = np.concatenate([rows[:, zone.x - 24 : zone.x - 4], rows[:, zone.right + 4 : zone.right + 24]], axis=1)
    return 100 * (float(np.nanmean(inside)) / float(np.nanmean(strips)) - 1)
