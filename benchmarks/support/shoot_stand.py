"""The record of a shoot whose photographs are simulated, as ``panelwear camera shoot`` would have left it."""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import sha256
from pathlib import Path

from panelwear.folder.shoots import FORMAT, ShootRecord, ShotRecord, save_shoot
from panelwear.simulation.camera.shots import Wanted

BEGAN = "2026-01-05T18:30:00.000Z"


def keep_record(checkpoint: Path, list_name: str, listed: str, wanted: Sequence[Wanted]) -> None:
    """Write ``shoots/shoot-1.json`` and ``.toml`` into a checkpoint's folder.

    Args:
        checkpoint: its folder.
        list_name: name of the shooting list.
        listed: the list as TOML.
        wanted: what was photographed, behind the title card.
    """
    records = [ShotRecord("title-card", "title-card", 1)]
    records += [
        ShotRecord(w.shot.name, w.shot.kind, w.frames, w.shot.codes, target_cd_m2=w.shot.target_cd_m2, pose=w.shot.pose)
        for w in wanted
    ]
    digest = sha256(listed.encode()).hexdigest()
    save_shoot(checkpoint, ShootRecord(FORMAT, "shoot-1", list_name, digest, "done", 0, BEGAN, tuple(records)))
    (checkpoint / "shoots" / "shoot-1.toml").write_text(listed, encoding="utf-8")
