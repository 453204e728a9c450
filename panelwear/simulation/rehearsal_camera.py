"""The rehearsal's photographs: the real shoot on the off-screen surface, and a simulated camera before it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from panelwear.camera.shooting import Shooting
    from panelwear.folder.checkpoint import Checkpoint
    from panelwear.folder.shoots import ShootRecord
    from panelwear.screen.bench import Bench
    from panelwear.simulation.camera.model import CameraModel
    from panelwear.simulation.camera.shooting import Shoot
    from panelwear.simulation.panel import PanelState

LIST = b"""# A short shooting list for a camera of few pixels: what shows wear and which colour it is of.
name = "rehearsal"
description = "Dots, staircase, black, greys at 20 and 100 cd/m2, red, green and blue, an even surface."
frames = 2

[[shots]]
kind = "dots"

[[shots]]
kind = "stairs"

[[shots]]
kind = "black"

[[shots]]
kind = "fields"
cd_m2 = [20, 100]
codes = [66, 140]

[[shots]]
kind = "fields"
hues = ["red", "green", "blue"]
codes = [160]

[[shots]]
kind = "even-surface"
"""
FRAME_PX, PITCH_UM = (2304, 1536), 15.625
FILL = 0.9
"""Four camera pixels for each cell of a map, and a little more: no smaller frame can be read."""
CHECKPOINT_BYTES = 180_000_000
"""Photographs of one checkpoint and the truth beside them; 160 MB were seen."""
REFRESH_HZ, MODULATION = 60.0, 0.1
"""Of the panel's light; exposures last whole periods, so little of it is seen."""
HAND_S = 5.0
"""From when a field stands until the release."""
AWAY_S = 240.0
"""From the last field until the even surface stands before the lens."""


@dataclass(frozen=True, slots=True)
class Photographed:
    """The photographs of one checkpoint."""

    photographs: tuple[Path, ...]
    truth: tuple[Path, ...]


def camera() -> CameraModel:
    """Give the rehearsal's camera: a large sensor with few pixels, so that files stay small."""
    from panelwear.simulation.camera.model import CameraModel, Sensor

    return CameraModel(Sensor(size_px=FRAME_PX, pitch_um=PITCH_UM))


def check_installed() -> None:
    """Say what to install where the camera's extra is missing; ``UsageError``."""
    from panelwear.extras import needing

    with needing("the camera"):
        import segno  # noqa: F401
        import tifffile  # noqa: F401


def photograph(bench: Bench, found: Checkpoint, state: PanelState, truth: Path, seed: int) -> Photographed:
    """Show a shoot on the bench's screen and photograph it, into the checkpoint's ``photos/``.

    Args:
        bench: with a clock on which nobody waits.
        found: the open checkpoint.
        state: the panel behind the screen.
        truth: folder for the true values.
        seed: of noise and of the tripod's place.
    """
    from panelwear.simulation.camera.shoot_files import write_shoot
    from panelwear.simulation.camera.surface import PanelSurface

    facts = bench.screen.facts
    shooting = _shown(bench, found)
    surface = PanelSurface(state, (facts.width_px, facts.height_px))
    taken = shoot_of(shooting, found, seed)
    written = write_shoot(found.directory / "photos", truth / f"{found.name}-{shooting.record.shoot}", taken, surface)
    return Photographed(written.photographs, written.truth)


def _shown(bench: Bench, found: Checkpoint) -> Shooting:
    """Run the program's own shoot; its even surface is photographed afterwards, away from the panel."""
    from panelwear.byeye.preparation import known_response
    from panelwear.camera.shoot_plan import plan_shoot
    from panelwear.camera.shooting import Shooting, ShootJob
    from panelwear.folder.checkpoint import stamp
    from panelwear.folder.panel import load_panel
    from panelwear.folder.shoots import save_shoot
    from sequences import shoots

    panel = load_panel(found.directory.parent.parent)
    resolver = known_response(panel, found, lambda _: None)
    listed = shoots.parse(LIST, "rehearsal.toml")
    plan = plan_shoot(panel, resolver, listed.name, LIST, listed, poses=False)
    shooting = Shooting(bench, ShootJob(found, plan, unattended=True))
    shooting.run()
    bench.screen.darken()
    from_utc = stamp(bench.clock.utc() + timedelta(seconds=AWAY_S))
    bench.clock.sleep(2 * AWAY_S)
    shots = tuple(
        replace(one, skipped=False, from_utc=from_utc, to_utc=stamp(bench.clock.utc()))
        if one.kind == "even-surface"
        else one
        for one in shooting.record.shots
    )
    shooting.record = replace(shooting.record, shots=shots)
    save_shoot(found.directory, shooting.record)
    return shooting


def shoot_of(shooting: Shooting, found: Checkpoint, seed: int) -> Shoot:
    """Return what the simulated camera takes of a shoot that was shown: each shot while it stood."""
    from panelwear.camera.shots import ShootLabel, Shot
    from panelwear.simulation.camera.model import Flicker, Pose
    from panelwear.simulation.camera.poses import on_its_marks
    from panelwear.simulation.camera.shooting import Shoot
    from panelwear.simulation.camera.shots import EVEN_SURFACE_S, Wanted

    record: ShootRecord = shooting.record
    card, *others = record.shots
    names = tuple(one.name for one in others)
    wanted = tuple(
        Wanted(
            Shot(one.name, one.kind, one.codes, one.target_cd_m2, one.pose),
            one.frames,
            one.exposure_s or EVEN_SURFACE_S,
            _begin(one.from_utc),
        )
        for one in others
        if one.from_utc is not None
    )
    return Shoot(
        camera=camera(),
        label=ShootLabel(record.panel, found.name, record.shoot, names),
        card=shooting.build(card),
        wanted=wanted,
        taken=_begin(card.from_utc or record.started_utc),
        seed=seed,
        poses=(on_its_marks(Pose(fill=FILL, tilt_deg=0.8, turn_deg=-1.2, roll_deg=0.3), seed),),
        flicker=Flicker(REFRESH_HZ, MODULATION),
    )


def _begin(from_utc: str) -> datetime:
    return datetime.fromisoformat(from_utc) + timedelta(seconds=HAND_S)
