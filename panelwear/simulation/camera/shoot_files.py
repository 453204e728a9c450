"""A simulated shoot on disk: the photographs as a camera names them, and the truth in another folder."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from panelwear.atomic import make_folder, sha256_of, write_json, write_whole
from panelwear.errors import StorageFault
from panelwear.simulation.camera.developing import developed, for_showing
from panelwear.simulation.camera.geometry import view_of
from panelwear.simulation.camera.picture_files import jpeg_bytes, png_bytes, tiff_bytes
from panelwear.simulation.camera.raw_file import dng_bytes
from panelwear.simulation.camera.seen import white_response
from panelwear.simulation.camera.shooting import Shoot, Taken, frames, in_order
from panelwear.simulation.camera.shots import picture_of
from panelwear.simulation.camera.surface import PanelSurface
from panelwear.simulation.camera.truth import told, true_field, true_view

Kind = Literal["dng", "tiff", "png", "jpeg"]
ENDINGS: dict[Kind, str] = {"dng": "dng", "tiff": "tif", "png": "png", "jpeg": "jpg"}
TRUTH_FORMAT = "panelwear simulated shoot 1"


@dataclass(frozen=True, slots=True)
class Written:
    """The files of one shoot."""

    photographs: tuple[Path, ...]
    truth: tuple[Path, ...]


def write_shoot(
    folder: Path, truth: Path, shoot: Shoot, surface: PanelSurface, *, kind: Kind = "dng", stem: str = "sim_"
) -> Written:
    """Take a shoot and write it: one file a frame, and what is true of it beside.

    Args:
        folder: for the photographs; made where it is missing. They are numbered on from 0001.
        truth: path of the truth without its ending; ``.json`` and ``.npz`` are written.
        shoot: what is photographed.
        surface: the light of the panel.
        kind: raw files, or what a raw converter (TIFF in colours, PNG in grey, 16 bits, linear) or the camera itself
            (JPEG) makes of them.
        stem: what their names begin with.

    Raises:
        StorageFault: a file cannot be written, or stands there already.
    """
    make_folder(folder)
    make_folder(truth.parent)
    balance = _balance(shoot, surface)
    paths, records = [], []
    for one in frames(shoot, surface):
        path = folder / f"{stem}{one.number:04d}.{ENDINGS[kind]}"
        if path.exists():
            raise StorageFault(f"{path}: stands there already; name another folder")
        write_whole(path, file_bytes(one, shoot, balance, kind))
        paths.append(path)
        records.append(_record(one, path))
    return Written(tuple(paths), _write_truth(truth, shoot, surface, records))


def file_bytes(one: Taken, shoot: Shoot, balance: tuple[float, float, float], kind: Kind) -> bytes:
    """Return a frame as a file of some kind."""
    sensor = shoot.camera.sensor
    if kind == "dng":
        return dng_bytes(one.raw, sensor, one.exif, balance)
    colours = developed(one.raw, sensor, balance)
    if kind == "tiff":
        return tiff_bytes(colours, one.exif)
    if kind == "png":
        return png_bytes(_grey(colours), one.exif)
    return jpeg_bytes(for_showing(colours), one.exif)


def _grey(colours: NDArray[np.uint16]) -> NDArray[np.uint16]:
    weighted = colours @ np.array([0.25, 0.5, 0.25], dtype=np.float32)
    return np.rint(weighted).astype(np.uint16)


def _balance(shoot: Shoot, surface: PanelSurface) -> tuple[float, float, float]:
    red, green, blue = white_response(shoot.camera, surface)
    return (float(red / green), 1.0, float(blue / green))


def _record(one: Taken, path: Path) -> dict[str, Any]:
    return {
        "file": path.name,
        "sha256": sha256_of(path),
        "shot": one.shot.name,
        "shown": one.shown.name,
        "exposure_s": one.exif.exposure_s,
        "taken": one.exif.taken.isoformat(),
        "pose": asdict(one.pose),
    }


def _write_truth(truth: Path, shoot: Shoot, surface: PanelSurface, records: list[dict[str, Any]]) -> tuple[Path, Path]:
    state = surface.state
    area_mm = state.model.active_area_mm
    poses = dict.fromkeys(pose for _, _, pose in in_order(shoot))
    told_of = {
        "format": TRUTH_FORMAT,
        "what": "true values of a simulated shoot, all invented",
        "label": asdict(shoot.label),
        "hours": state.hours,
        "seed": shoot.seed,
        "camera": asdict(shoot.camera),
        "flicker": asdict(shoot.flicker) if shoot.flicker is not None else None,
        "put_in": [asdict(one) for one in surface.put_in],
        "shots": [told(one.shot) for one in shoot.wanted],
        "views": [
            {"pose": asdict(pose), **true_view(view_of(shoot.camera, pose, surface.size_px, area_mm))} for pose in poses
        ],
        "photographs": records,
    }
    numbers = io.BytesIO()
    np.savez(numbers, **dict(_light(shoot, surface)))  # type: ignore[arg-type]
    paths = truth.with_name(f"{truth.name}.json"), truth.with_name(f"{truth.name}.npz")
    write_json(paths[0], told_of)
    write_whole(paths[1], numbers.getvalue())
    return paths


def _light(shoot: Shoot, surface: PanelSurface) -> Iterator[tuple[str, NDArray[np.float32]]]:
    for wanted in shoot.wanted:
        if wanted.shot.kind != "field" or wanted.shot.pose != 0:
            continue
        picture = picture_of(wanted.shot, surface.size_px)
        assert picture is not None  # noqa: S101 - a field stands on the panel
        one = true_field(wanted.shot, picture, surface, shoot.camera)
        yield f"{wanted.shot.name}.cd_m2", one.luminance_cd_m2
        yield f"{wanted.shot.name}.filters", one.filters
