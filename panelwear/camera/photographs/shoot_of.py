"""Which shoot photographs are of: what the title card says, held against the panel's folder."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from panelwear.camera.card_of import is_of
from panelwear.camera.photographs.looks import Look
from panelwear.camera.shots import ShootLabel, Shot, ShotKind
from panelwear.errors import UsageError
from panelwear.folder.checkpoint import Checkpoint, all_of
from panelwear.folder.panel import Panel
from panelwear.folder.shoots import ShootRecord, shoots_of


@dataclass(frozen=True, slots=True)
class TheShoot:
    """The shoot photographs are of."""

    checkpoint: Checkpoint
    name: str
    shots: tuple[Shot, ...]
    """In their order, the title card first."""
    frames: dict[str, int]
    """How many photographs of each were asked for."""
    label_read: bool
    simulated: bool = False


def the_shoot(
    panel: Panel, looks: Sequence[Look], names: Sequence[str], checkpoint: str | None, shoot: str | None
) -> TheShoot:
    """Find the shoot by its label, or by what a person named.

    Raises:
        UsageError: labels of several shoots, of another panel, of a checkpoint that is not there; or no label at all.
    """
    labels = {look.label: name for look, name in zip(looks, names, strict=True) if look.label is not None}
    if len(labels) > 1:
        told = "; ".join(f"{name}: {label.checkpoint}, {label.shoot}" for label, name in labels.items())
        raise UsageError(f"the photographs are of several shoots ({told}); read one shoot at a time")
    label = next(iter(labels), None)
    if label is None:
        return _named(panel, checkpoint, shoot)
    _refuse_other(label, labels[label], checkpoint, shoot)
    found = next((one for one in all_of(panel.directory) if one.name == label.checkpoint), None)
    if found is None:
        there = ", ".join(one.name for one in all_of(panel.directory)) or "none yet"
        raise UsageError(
            f"{labels[label]}: its title card is of checkpoint {label.checkpoint} of panel {label.panel}, and"
            f" {panel.directory} has no such checkpoint; there are: {there}"
        )
    record = next((one for one in shoots_of(found.directory) if one.shoot == label.shoot), None)
    if not is_of(label, panel, found, record):
        raise UsageError(
            f"{labels[label]}: its title card is of panel {label.panel}, and this folder is"
            f" {panel.directory.resolve().name} ({panel.name} in panel.toml), whose {label.shoot} has another card;"
            " name the folder the photographs are of"
        )
    if record is not None:
        return _recorded(found, record, label_read=True)
    shots = tuple(_shot_of(name) for name in ("title-card", *(n for n in label.shots if n != "title-card")))
    return TheShoot(found, label.shoot, shots, {}, label_read=True)


def _refuse_other(label: ShootLabel, file: str, checkpoint: str | None, shoot: str | None) -> None:
    for what, said, read in (("--checkpoint", checkpoint, label.checkpoint), ("--shoot", shoot, label.shoot)):
        if said is not None and said != read:
            raise UsageError(f"{what} {said}: the title card in {file} is of {read}; leave {what} out, or other files")


def _named(panel: Panel, checkpoint: str | None, shoot: str | None) -> TheShoot:
    if checkpoint is None:
        raise UsageError(
            "no title card could be read in these photographs; give the one of the title card too, or name what they"
            " are of with --checkpoint NAME"
        )
    found = next((one for one in all_of(panel.directory) if one.name == checkpoint), None)
    if found is None:
        raise UsageError(f"--checkpoint {checkpoint}: {panel.directory} has no such checkpoint")
    there = shoots_of(found.directory)
    record = next((one for one in there if one.shoot == shoot), None) if shoot else there[-1] if there else None
    if record is None:
        named = ", ".join(one.shoot for one in there) or "none"
        raise UsageError(f"checkpoint {checkpoint} has no shoot {shoot or ''}: there are {named}".replace(" :", ":"))
    return _recorded(found, record, label_read=False)


def _recorded(found: Checkpoint, record: ShootRecord, *, label_read: bool) -> TheShoot:
    shots = tuple(Shot(one.name, one.kind, one.codes, one.target_cd_m2, one.pose) for one in record.shots)
    if not any(one.kind == "title-card" for one in shots):
        shots = (Shot("title-card", "title-card"), *shots)
    return TheShoot(found, record.shoot, shots, {one.name: one.frames for one in record.shots}, label_read)


_PLAIN: dict[str, ShotKind] = {
    "title-card": "title-card", "dots": "dots", "stairs": "stairs", "black": "black", "even-surface": "even-surface"
}  # fmt: skip
_FIELD = re.compile(r"(grey|red|green|blue)-(?:c(\d+(?:\.\d+)?)|(\d+(?:\.\d+)?)cd)(?:-pose(\d))?\Z")
_POSE = re.compile(r"-pose(\d)\Z")


def _shot_of(name: str) -> Shot:
    """Return a shot from its name alone, where the shoot's record is gone; a light in cd/m² has no drive level then."""
    field = _FIELD.match(name)
    if field is not None:
        hue, code, light, pose = field.groups()
        lit = float(code or 128)
        codes = tuple(lit if hue in {"grey", own} else 0.0 for own in ("red", "green", "blue"))
        return Shot(name, "field", (codes[0], codes[1], codes[2]), float(light) if light else None, int(pose or 0))
    pose_of = _POSE.search(name)
    base = name.removesuffix(pose_of[0]) if pose_of else name
    kind = _PLAIN.get(base.removesuffix("-end"))
    if kind is None:
        raise UsageError(f"the title card names a shot '{name}', which this program does not know")
    return Shot(name, kind, pose=int(pose_of[1]) if pose_of else 0)
