"""A whole simulated shoot: every frame of every shot, in order, from a seed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta

import numpy as np

from panelwear.camera.shots import ShootLabel, Shot
from panelwear.simulation.camera.exif import Exif
from panelwear.simulation.camera.exposing import DARK_ROOM, Map, Optics, Room, even_surface
from panelwear.simulation.camera.flicker import row_factors
from panelwear.simulation.camera.model import CameraModel, Flicker, Pose, SubPixels
from panelwear.simulation.camera.noise import FixedPattern, Raw, digital, fixed_pattern
from panelwear.simulation.camera.poses import STRAIGHT
from panelwear.simulation.camera.seen import white_response
from panelwear.simulation.camera.shots import EVEN_SURFACE_S, Wanted, picture_of
from panelwear.simulation.camera.surface import PanelSurface
from patterns.frame import Frame

BETWEEN_FRAMES_S = 1.0
BETWEEN_SHOTS_S = 20.0
EVEN_SHARE = 0.6
"""How far the even surface fills the sensor behind its brightest filter."""
TITLE_CARD = Shot("title-card", "title-card")
TITLE_CARD_S = 2.0


@dataclass(frozen=True, slots=True)
class Shoot:
    """What is photographed, with what, and how carefully."""

    camera: CameraModel
    label: ShootLabel
    card: Frame
    """The title card, as the panel shows it."""
    wanted: tuple[Wanted, ...]
    """Without the title card, in the order they are taken."""
    taken: datetime
    """When the first frame begins."""
    seed: int = 1
    poses: tuple[Pose, ...] = (STRAIGHT,)
    """By a shot's ``pose``."""
    moved: tuple[tuple[str, Pose], ...] = ()
    """Shots at whose beginning the camera was knocked to another pose, where it stays."""
    order: tuple[str, ...] = ()
    """Names of shots in the order they really stood on the panel, where that is not the order told."""
    longer: float = 1.0
    """All exposures times this."""
    flicker: Flicker | None = None
    layout: SubPixels = field(default_factory=SubPixels)
    room: Room = DARK_ROOM
    surface_slope: tuple[float, float] = (0.0, 0.0)
    """By how much the even surface's light rises from edge to edge of the frame, across and down, as a share."""
    surface_bowl: tuple[float, float] = (0.0, 0.0)
    """By how much it is lighter at the frame's edges than in its middle, across and down."""


@dataclass(frozen=True, slots=True, eq=False)
class Taken:
    """One frame."""

    number: int
    """From 1, in the order they were taken."""
    shot: Shot
    """What it is said to be of."""
    shown: Shot
    """What it really is of: another one where fields came in the wrong order."""
    pose: Pose
    raw: Raw
    exif: Exif


def frames(shoot: Shoot, surface: PanelSurface) -> Iterator[Taken]:
    """Take every frame of a shoot; the title card comes first.

    Args:
        shoot: what is photographed.
        surface: the light of the panel.
    """
    pattern = fixed_pattern(shoot.camera.sensor)
    at, number = shoot.taken, 0
    optics: Optics | None = None
    for wanted, shown, pose in in_order(shoot):
        if optics is None or optics.pose != pose:
            optics = None  # two of them would be 0.6 GB at 24 megapixels
            optics = Optics(shoot.camera, pose, surface, shoot.layout, shoot.room)
        exposure_s = wanted.exposure_s * shoot.longer
        at = wanted.begins or at
        mean = _mean(shoot, surface, optics, shown, exposure_s)
        for _ in range(wanted.frames):
            number += 1
            raw = _one(shoot, pattern, mean, exposure_s, np.random.default_rng((shoot.seed, number)))
            yield Taken(number, wanted.shot, shown, pose, raw, exif_of(shoot.camera, exposure_s, at))
            at += timedelta(seconds=exposure_s + BETWEEN_FRAMES_S)
        at += timedelta(seconds=BETWEEN_SHOTS_S)


def in_order(shoot: Shoot) -> Iterator[tuple[Wanted, Shot, Pose]]:
    """Give each shot with what really stood on the panel meanwhile, and from where it was seen."""
    by_name = {wanted.shot.name: wanted.shot for wanted in shoot.wanted}
    shown = iter(shoot.order or by_name)
    moved, knocked = dict(shoot.moved), None
    yield Wanted(TITLE_CARD, 1, TITLE_CARD_S), TITLE_CARD, shoot.poses[0]
    for wanted in shoot.wanted:
        knocked = moved.get(wanted.shot.name, knocked)
        pose = shoot.poses[wanted.shot.pose]
        yield wanted, by_name[next(shown)], knocked if knocked is not None and wanted.shot.pose == 0 else pose


def exif_of(camera: CameraModel, exposure_s: float, at: datetime) -> Exif:
    """Return what a camera writes into a frame."""
    lens = camera.lens
    return Exif(exposure_s, lens.f_number, camera.iso, lens.focal_mm, at, camera.make, camera.model)


def _mean(shoot: Shoot, surface: PanelSurface, optics: Optics, shot: Shot, exposure_s: float) -> Map:
    picture = picture_of(shot, surface.size_px, shoot.card)
    if picture is not None:
        return optics.electrons(picture, exposure_s)
    camera = shoot.camera
    most = float(white_response(camera, surface).max()) * EVEN_SURFACE_S / camera.lens.f_number**2
    return even_surface(
        camera,
        EVEN_SHARE * camera.sensor.full_well_e / most,
        exposure_s,
        surface,
        slope=shoot.surface_slope,
        bowl=shoot.surface_bowl,
    )


def _one(shoot: Shoot, pattern: FixedPattern, mean: Map, exposure_s: float, rng: np.random.Generator) -> Raw:
    sensor = shoot.camera.sensor
    rows = None
    if shoot.flicker is not None:
        rows = row_factors(shoot.flicker, exposure_s, sensor.size_px[1], sensor.readout_s, float(rng.random()))
    return digital(sensor, pattern, mean, rng, exposure_s=exposure_s, row_factor=rows)
