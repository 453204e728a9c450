"""Shooting lists: find, read and check them; the shots of one on a panel, in the order they are taken."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from groundwork.documents import parse_toml
from groundwork.tables import read
from sequences.errors import SequenceError
from sequences.exposure import suggested_s
from sequences.model import Level, PanelFacts, PlannedShot, Shoot
from sequences.nominal import code_of, luminance_cd_m2
from sequences.shelf import Shelf
from sequences.shoot_schema import FRAMES, SHOT_GROUPS, Dots, Fields, ShootList, Shots

LISTS = Shelf(Path(__file__).parent / "shoots", "shooting list")
POSES = (1, 2, 3)
"""Beside the place that is kept, 0: moved along, moved down by another amount, turned upside down. These three part
panel and lens up to polynomials of degree 6; a turn alone leaves every even mode open."""
BETWEEN_FRAMES_S = 1.0
"""From the end of one frame to the next: the camera stores it."""
HAND_S = 10.0
"""A field stands so long beside its frames: until the hand is at the release, and back."""
PEAK = Level("code", 255.0)


def shipped() -> tuple[str, ...]:
    """List the names of the shooting lists that come with the program."""
    return LISTS.names()


def source_of(name_or_path: str | Path) -> tuple[bytes, ShootList]:
    """Read a list by its shipped name or its path, with its bytes; ``SequenceError`` lists every fault."""
    raw, name = LISTS.read(name_or_path)
    return raw, parse(raw, name)


def parse(raw: bytes | str, file: str = "shoot.toml") -> ShootList:
    """Make a list of a file's content; ``file`` is the name used in faults."""
    return from_data(parse_toml(raw, file, SequenceError), file)


def from_data(data: Mapping[str, Any], file: str = "shoot.toml") -> ShootList:
    """Make a list of parsed TOML; ``SequenceError`` lists every fault."""
    return read(ShootList, data, file, SequenceError)


def looks_like(data: Mapping[str, Any]) -> bool:
    """Tell a shooting list from our other TOML files by its content."""
    return isinstance(data.get("shots"), list)


def shots_of(wanted: ShootList, panel: PanelFacts, *, known: bool, poses: bool = False) -> tuple[PlannedShot, ...]:
    """Return the shots in their order, without the title card.

    What tells geometry and response comes first, then black and the fields from dark to bright, so that none is taken
    in the afterglow of a brighter one; the dots once more show that the camera stands where it stood. Then the other
    poses, and last the even surface, for which the camera may be moved.

    Args:
        wanted: The list.
        panel: Tells how bright a drive level is, nominally.
        known: The panel's response is known: fields have the list's luminances, else its drive levels.
        poses: Photograph in the other poses too.
    """
    groups = {kind: next((s for s in wanted.shots if isinstance(s, cls)), None) for kind, cls in SHOT_GROUPS.items()}
    dots = groups["dots"] or Dots()
    fields = sorted(_fields(wanted, panel, known), key=lambda pair: pair[0].nominal_cd_m2)
    shots = [_plain("dots", dots, wanted, panel)]
    shots += [_plain(kind, group, wanted, panel) for kind in ("stairs", "black") if (group := groups[kind])]
    shots += [shot for shot, _ in fields]
    shots.append(_plain("dots", dots, wanted, panel, name="dots-end"))
    for pose in POSES if poses else ():
        shots.append(_plain("dots", dots, wanted, panel, name=f"dots-pose{pose}", pose=pose))
        again = [shot for shot, in_poses in fields if in_poses] or [fields[-1][0]]
        shots += [replace(shot, name=f"{shot.name}-pose{pose}", pose=pose) for shot in again]
    if surface := groups["even-surface"]:
        shots.append(_plain("even-surface", surface, wanted, panel))
    return tuple(shots)


def _fields(wanted: ShootList, panel: PanelFacts, known: bool) -> Iterator[tuple[PlannedShot, bool]]:
    for group in wanted.shots:
        if not isinstance(group, Fields):
            continue
        by_light = known and group.cd_m2 is not None
        for hue in group.hues:
            for value in (group.cd_m2 if by_light else group.codes) or ():
                level = Level("cd_m2" if by_light else "code", value)
                name = f"{hue}-{value:g}cd" if by_light else f"{hue}-c{value:g}"
                light = luminance_cd_m2(Level("code", code_of(level, hue, panel)), "grey", panel)
                yield PlannedShot(name, "field", group.frames or wanted.frames, hue, level, light), group.in_poses


def _plain(
    kind: str, group: Shots, wanted: ShootList, panel: PanelFacts, *, name: str = "", pose: int = 0
) -> PlannedShot:
    """Make a shot that is no field."""
    level = {"dots": Level("code", 128.0), "stairs": PEAK}.get(kind, Level("code", 0.0))
    frames = group.frames or FRAMES.get(kind) or wanted.frames
    light = luminance_cd_m2(level, "grey", panel)
    return PlannedShot(name or kind, kind, frames, "grey", level, light, pose)


def exposure_s(
    shot: PlannedShot, wanted: ShootList, panel: PanelFacts, light_cd_m2: float | None = None
) -> float | None:
    """Return the exposure to begin with; of black that of the darkest field; of an even surface nobody knows.

    A field of red, green or blue is exposed as the grey of its drive level: of that the camera's own red, green or blue
    pixels see as much.

    Args:
        shot: The shot.
        wanted: The list it is of.
        panel: Tells the refresh rate.
        light_cd_m2: Of grey at what is shown, where more is known than its nominal light.
    """
    if shot.kind == "even-surface":
        return None
    light = shot.nominal_cd_m2 if light_cd_m2 is None else light_cd_m2
    if shot.kind == "black":
        light = min(one.nominal_cd_m2 for one, _ in _fields(wanted, panel, known=True))
    return suggested_s(max(light, 1e-6), wanted.f_number, wanted.iso, panel.refresh_hz)


def as_step(list_name: str, wanted: ShootList, panel: PanelFacts, *, known: bool = True, poses: bool = False) -> Shoot:
    """Make the step of a list, for estimates of its time and light."""
    shots = shots_of(wanted, panel, known=known, poses=poses)
    lasting = tuple(stands_s(one, exposure_s(one, wanted, panel)) for one in shots)
    return Shoot(0, list_name, poses, shots, lasting)


def frames_s(shot: PlannedShot, one_s: float | None) -> float:
    """Return the seconds its frames take at least, without what the camera does between them."""
    return shot.frames * (one_s or 0.0)


def stands_s(shot: PlannedShot, one_s: float | None) -> float:
    """Return about how long a shot stands."""
    return HAND_S + shot.frames * ((one_s or 0.0) + BETWEEN_FRAMES_S)
