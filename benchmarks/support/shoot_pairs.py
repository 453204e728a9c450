"""Simulated shoots of one panel at two checkpoints, at two sizes of one sampling ratio, and what was put in."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal

import numpy as np

from benchmarks.support.shoot_stand import keep_record
from panelwear.camera.photographs.kinds import PhotoFile, photo_file
from panelwear.camera.photographs.reading import ShootRead, read_shoot
from panelwear.camera.photographs.setup import Files
from panelwear.camera.photographs.view import PanelView
from panelwear.camera.qr_code import shoot_card
from panelwear.camera.shots import ShootLabel, Shot
from panelwear.folder.checkpoint import open_or_create
from panelwear.folder.panel import Panel, load_panel
from panelwear.run.plan import resolver_of
from panelwear.simulation.camera.faults import Fault, spoiled
from panelwear.simulation.camera.model import CameraModel, Pose, Sensor
from panelwear.simulation.camera.poses import FOUR_POSES
from panelwear.simulation.camera.shoot_files import Kind, write_shoot
from panelwear.simulation.camera.shooting import Shoot
from panelwear.simulation.camera.shots import wanted_shots
from panelwear.simulation.camera.surface import PanelSurface, PutIn
from panelwear.simulation.panel import SimulatedPanel
from patterns.frame import Rect
from sequences.geometry import FULL
from sequences.model import Level, PanelFacts, Patch, Place
from sequences.shoots import parse

AREA_MM = (597.0, 336.0)
LEVELS = (20, 120)
CHANGES = (-0.01, -0.005)
ZONES = tuple((160 + 480 * column, 120 + 270 * row) for row in range(4) for column in range(4))
"""Left upper corners on a panel of 1920 x 1080 pixels: far enough apart that none shares its surround with another."""
ZONE_PX = (164, 124)
MARKS = 0.001
"""Standard deviation with which a camera stands on its marks again, as a share of the frame; of angles, a tenth of a
degree."""
EVEN_SURFACE = 0.003
"""Standard deviation of the slope of an even surface's light from edge to edge of the frame, and of its bowl."""


GREY = Patch(
    "shoot", Place("centre", (960.0, 540.0)), "grey", Level("code", 128.0), FULL.label, "photograph", FULL.pattern
)


@dataclass(frozen=True)
class Size:
    """A panel and a sensor before it; both sizes have one ratio of camera pixels to panel pixels."""

    times: int
    """Panel of 1920 x 1080 pixels and sensor of 3000 x 2000 times this."""
    frames: int

    @property
    def panel_px(self) -> tuple[int, int]:
        """Return the panel's width and height."""
        return 1920 * self.times, 1080 * self.times

    def camera(self, seed: int) -> CameraModel:
        """Return the camera, its sensor's own pattern by a seed."""
        return CameraModel(sensor=Sensor((3000 * self.times, 2000 * self.times), 12.0 / self.times, seed=seed))

    def band(self) -> Rect:
        """Return the place of a band that no zone names: 1 % of the panel's area, beside no zone's surround."""
        return Rect(470 * self.times, 0, 19 * self.times, 1080 * self.times)

    def zones(self) -> list[tuple[str, Rect, float]]:
        """Return name, place and change of each zone: a checkerboard of -1 % and -0.5 %."""
        k, (w, h) = self.times, ZONE_PX
        return [
            (f"zone-{n + 1}", Rect(x * k, y * k, w * k, h * k), CHANGES[(n + n // 4) % 2])
            for n, (x, y) in enumerate(ZONES)
        ]


SMALL, FULL = Size(1, 2), Size(2, 4)
"""6 and 24 megapixels."""

Way = Literal["even-surface", "same-set-up", "poses"]


@dataclass(frozen=True)
class Case:
    """One shoot on disk."""

    root: Path
    checkpoint: Path
    files: tuple[Path, ...]
    truth: dict[str, Any]
    panel: Panel

    def of(self, shot: str) -> list[Path]:
        """Return the photographs of a shot."""
        return [self.checkpoint / "photos" / one["file"] for one in self.truth["photographs"] if one["shot"] == shot]

    def shot(self, name: str) -> Shot:
        """Return a shot by its name."""
        return next(one for one in self.shots() if one.name == name)

    def shots(self) -> tuple[Shot, ...]:
        """Return the shots, without the title card."""
        return tuple(
            Shot(one["name"], one["kind"], tuple(one["codes"]), one["target_cd_m2"], one["pose"])
            for one in self.truth["shots"]
        )

    def registration_px(self, found: PanelView) -> float:
        """Return how far a view lies from the true one, rms over the panel, in panel pixels."""
        true = self.truth["views"][0]
        size = self.panel.width_px, self.panel.height_px
        grid = np.stack(np.meshgrid(*(np.linspace(0, side, 40) for side in size)), axis=-1)
        view = PanelView(
            size, tuple(true["frame_px"]), np.array(true["homography"]), tuple(true["centre"]), true["k1"], true["k2"]
        )
        apart = found.to_panel(view.to_camera(grid)) - grid
        return float(np.sqrt((apart**2).sum(axis=-1).mean()))


def read_maps(case: Case, way: Way | None) -> ShootRead:
    """Read a shoot as ``panelwear camera read`` does, each photograph taken for what it is."""
    of: dict[str, tuple[PhotoFile, ...]] = {}
    for one in case.truth["photographs"]:
        of[one["shot"]] = (*of.get(one["shot"], ()), photo_file(case.checkpoint / "photos" / one["file"]))
    response = resolver_of(case.panel, []).response_for(GREY)[0]
    return read_shoot(Files(case.panel, case.shots(), of), response, way, lambda *_: None)


@lru_cache(maxsize=2)
def surface_of(size: Size, *, worn: bool) -> PanelSurface:
    """Light a panel; a worn one has its zones and the band darker."""
    changed = [*((rect, change) for _, rect, change in size.zones()), (size.band(), CHANGES[0])] if worn else []
    return PanelSurface(SimulatedPanel().at(0.0), size.panel_px, [PutIn(*one) for one in changed])


def made(
    folder: Path, size: Size, seed: int, *, worn: bool, poses: bool = False, fault: Fault | None = None,
    kind: Kind = "dng", sensor: int = 3, disc_px: float = 0.0,
) -> Case:  # fmt: skip
    """Take a shoot.

    Args:
        folder: for it.
        size: of panel and sensor.
        seed: of chance: noise, where the camera stands, how even the even surface is.
        worn: whether the zones and the band have lost light.
        poses: whether four poses are taken in the place of an even surface.
        fault: what goes wrong.
        kind: of the files.
        sensor: seed of the sensor's own pattern.
        disc_px: diameter of a defocus disc in the place of the usual blur; 0: the usual.
    """
    root = folder / "harbour-desk"
    root.mkdir(parents=True)
    (root / "panel.toml").write_text(_panel_toml(size))
    surface = surface_of(size, worn=worn)
    listed = _listed(size.frames, poses=poses, stairs=kind == "jpeg")
    wanted = wanted_shots(parse(listed), surface.state, PanelFacts(*size.panel_px, AREA_MM), poses=poses)
    now = datetime(2026, 1, 5, 18, 30, tzinfo=UTC)
    checkpoint = open_or_create(root, "harbour-desk", 0.0, None, now).directory
    label = ShootLabel("harbour-desk", checkpoint.name, "shoot-1", tuple(one.shot.name for one in wanted))
    rng = np.random.default_rng((seed, worn))
    camera = size.camera(sensor)
    if disc_px:
        camera = replace(camera, lens=replace(camera.lens, blur_px=0.0, disc_px=disc_px))
    shoot = Shoot(
        camera, label, shoot_card(size.panel_px, label, ["harbour-desk"]), wanted, now, seed=2 * seed + worn,
        poses=_stands(rng, poses=poses), surface_slope=_pair(rng), surface_bowl=_pair(rng),
    )  # fmt: skip
    if fault:
        shoot = spoiled(shoot, fault, size.panel_px)
    keep_record(checkpoint, "bench", listed, wanted)
    written = write_shoot(checkpoint / "photos", folder / "truth", shoot, surface, kind=kind)
    truth = json.loads((folder / "truth.json").read_text())
    return Case(root, checkpoint, written.photographs, truth, load_panel(root))


def _pair(rng: np.random.Generator) -> tuple[float, float]:
    across, down = (float(one) for one in rng.normal(0, EVEN_SURFACE, 2))
    return across, down


def _stands(rng: np.random.Generator, *, poses: bool) -> tuple[Pose, ...]:
    def put_back(one: Pose) -> Pose:
        tilt, turn, roll = (float(side) for side in rng.normal((1.0, -1.5, 0.5), 0.1))
        across, down = (float(side) for side in rng.normal(one.shift, MARKS))
        return replace(one, tilt_deg=tilt, turn_deg=turn, roll_deg=one.roll_deg + roll, shift=(across, down))

    return tuple(put_back(one) for one in (FOUR_POSES if poses else (Pose(),)))


def _listed(frames: int, *, poses: bool, stairs: bool) -> str:
    parts = [
        f'name = "bench"\ndescription = "Two greys."\nframes = {frames}',
        '[[shots]]\nkind = "dots"\nframes = 1',
        '[[shots]]\nkind = "black"',
        f'[[shots]]\nkind = "fields"\ncd_m2 = [{LEVELS[0]}]\ncodes = [82]',
        f'[[shots]]\nkind = "fields"\ncd_m2 = [{LEVELS[1]}]\ncodes = [182]\nin_poses = true',
    ]
    parts += [] if poses else ['[[shots]]\nkind = "even-surface"']
    parts += ['[[shots]]\nkind = "stairs"'] if stairs else []
    return "\n".join(parts) + "\n"


def _panel_toml(size: Size) -> str:
    width, height = size.panel_px
    zones = [
        f'  {{ name = "{name}", rect_px = [{r.x}, {r.y}, {r.w}, {r.h}], reference = "chart" }},'
        for name, r, _ in size.zones()
    ]
    return "\n".join([
        'name = "harbour-desk"', f"pixels = [{width}, {height}]", f"active_area_mm = {list(AREA_MM)}",
        "refresh_hz = 60", "zones = [", f'  {{ name = "chart", rect_px = [0, 0, {width}, {height}] }},', *zones, "]",
        "",
    ])  # fmt: skip
