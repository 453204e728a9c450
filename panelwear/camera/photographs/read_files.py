"""What was read goes into the checkpoint: maps, and which photographs they were made of."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from groundwork.documents import printable
from panelwear import __version__
from panelwear.atomic import make_folder, write_json
from panelwear.camera.map_files import MAPS, save_map
from panelwear.camera.photographs.kinds import PhotoFile
from panelwear.camera.photographs.reading import FieldRead, ShootRead
from panelwear.errors import FileFault, StorageFault
from panelwear.folder.files import load_json
from panelwear.folder.map_faults import READ, READ_FORMAT


def save_read(
    checkpoint_dir: Path, shoot: str, read: ShootRead, files: Sequence[PhotoFile], shots: Sequence[str | None]
) -> tuple[Path, ...]:
    """Write the maps of a shoot and ``read.json``; maps that an earlier reading made are taken away first.

    ``read.json`` is written before them, marked as unfinished, and once more after the last: where the program is
    killed in between, whoever reads the maps is told, and the next reading knows which to take away.

    Args:
        checkpoint_dir: of the checkpoint.
        shoot: its name.
        read: what became of it.
        files: every photograph that was given.
        shots: what each was taken for.

    Raises:
        StorageFault: a file cannot be written.
    """
    folder = checkpoint_dir / MAPS
    listed = [
        {"file": printable(file.path.name), "sha256": file.sha256, "shot": shot}
        for file, shot in zip(files, shots, strict=True)
    ]
    record = {**told(read), "shoot": shoot, "files": listed}
    earlier = _names_before(folder)
    try:
        make_folder(folder)
        own = [one.shot.name for one in read.fields if one.map is not None]
        write_json(folder / READ, {**record, "unfinished": sorted({*earlier, *own})})
        for path in _files_of(folder, earlier):
            path.unlink(missing_ok=True)
    except OSError as error:
        raise StorageFault(f"{folder}: cannot be written ({error.strerror})") from None
    written = [save_map(folder, one.map)[2] for one in read.fields if one.map is not None]
    write_json(folder / READ, record)
    return (*written, folder / READ)


def _names_before(folder: Path) -> list[str]:
    """Return the names of the maps an earlier reading made, or may have made until it was killed, by its own list."""
    try:
        before = load_json(folder / READ)
    except (FileFault, StorageFault, OSError):
        return []
    if not isinstance(before, dict):
        return []
    fields, left = before.get("fields", []), before.get("unfinished", [])
    named = [one.get("shot", "") for one in fields if isinstance(one, dict)] if isinstance(fields, list) else []
    return [str(name) for name in (*named, *(left if isinstance(left, list) else ()))]


def _files_of(folder: Path, names: Sequence[str]) -> list[Path]:
    """Return the files of maps, none outside their folder."""
    found = [folder / f"{Path(name).name}.{ending}" for name in names if name for ending in ("npz", "png", "json")]
    return [path for path in found if path.name != READ and path.parent == folder]


def told(read: ShootRead) -> dict[str, Any]:
    """Return what was found, as plain data."""
    found, lens, noise = read.set_up, read.lens, read.noise
    view = found.view
    return {
        "format": READ_FORMAT,
        "software": f"panelwear {__version__}",
        "registration": {
            "rms_px": round(view.rms_px, 4),
            "dots": view.dots,
            "tilt_deg": round(view.tilt_deg(found.files.panel.pitch_mm), 2),
            "mirrored": view.mirrored,
            "frame_px": list(view.frame_px),
            "corners_px": view.corners().round(2).tolist(),
            "homography": view.homography.tolist(),
            "centre_px": [round(side, 2) for side in view.centre],
            "k1": view.k1,
            "k2": view.k2,
        },
        "set_up": read.taken.set_up,
        "shading": {
            "by": lens.shading,
            "said": lens.said,
            "u_slow": lens.u_slow,
            "singular_values": list(lens.singular),
            "rms": lens.rms,
        },
        "noise": {
            "gain_dn_per_e": noise.gain,
            "dark_e": noise.dark_electrons,
            "prnu": noise.prnu,
            "from_frames": noise.from_frames,
        },
        "masked_pixels": found.masked,
        "for_showing": found.files.for_showing,
        "cautions": list(found.cautions),
        "fields": [_field(one) for one in read.fields],
    }


def _field(one: FieldRead) -> dict[str, Any]:
    signs = one.judged.signs
    return {
        "shot": one.shot.name,
        "frames": one.frames,
        "light": one.weights,
        "map": one.map is not None,
        "refused": one.judged.refused,
        "cautions": list(one.map.cautions) if one.map is not None else list(one.judged.cautions),
        "moire": signs.moire.amplitude,
        "bands": signs.bands,
        "edges_off_px": None if signs.edges is None else signs.edges.moved_px,
        "edges_blur_px": None if signs.edges is None else signs.edges.blur_px,
    }
