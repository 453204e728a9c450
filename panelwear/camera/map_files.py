"""Maps on disk: numbers as NPZ, a picture of 16 bits to look at, and a metadata file that says what they are."""

from __future__ import annotations

import io
import json
import zipfile
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from panelwear.atomic import make_folder, write_json, write_whole
from panelwear.camera.field_map import FieldMap
from panelwear.camera.photographs.view import PanelView
from panelwear.camera.shots import Shot
from panelwear.errors import FileFault
from panelwear.folder.evidence_files import DERIVED

MAPS = DERIVED
"""Folder of a checkpoint that holds them; made of photographs, so that they can be made again."""
PICTURE_ONE = 32768
"""What the 16-bit picture holds for a cell as light as the reference; fixed for all maps, 0 for cells not usable."""
FORMAT = 1


def save_map(folder: Path, one: FieldMap) -> tuple[Path, ...]:
    """Write a map as ``NAME.npz``, ``NAME.png`` and ``NAME.json`` into a folder, and return the three paths."""
    make_folder(folder)
    paths = tuple(folder / f"{one.shot.name}.{ending}" for ending in ("npz", "png", "json"))
    numbers = io.BytesIO()
    arrays = {"light": one.light, "u_light": one.u_light, "usable": one.usable}
    if one.u_pixels is not None:
        arrays["u_pixels"] = one.u_pixels
    np.savez_compressed(numbers, **arrays)  # type: ignore[arg-type]
    write_whole(paths[0], numbers.getvalue())
    write_whole(paths[1], _picture(one))
    write_json(paths[2], _told(one))
    return paths


def load_map(path: Path) -> FieldMap:
    """Read a map by its metadata file.

    Raises:
        FileFault: where it or its numbers cannot be read, or do not fit each other.
    """
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
        with np.load(io.BytesIO(path.with_suffix(".npz").read_bytes()), allow_pickle=False) as numbers:
            light, u_light, usable = (np.asarray(numbers[name]) for name in ("light", "u_light", "usable"))
            u_pixels = np.asarray(numbers["u_pixels"]) if "u_pixels" in numbers else None
        return replace(_map_of(told, light, u_light, usable), u_pixels=_like(u_pixels, light), view=_view_of(told))
    except (OSError, ValueError, KeyError, TypeError, zipfile.BadZipFile) as fault:
        raise FileFault((f"{path}: not a map that can be read ({fault}); read the photographs again",)) from fault


def _told(one: FieldMap) -> dict[str, Any]:
    rows, columns = one.light.shape
    return {
        "format": FORMAT,
        "shot": asdict(one.shot),
        "panel_px": list(one.panel_px),
        "cells": [columns, rows],
        "picture_one": PICTURE_ONE,
        **{name: getattr(one, name) for name in _PLAIN},
        "focal_35_mm": one.focal_35_mm,
        "view": None if one.view is None else _view_told(one.view),
        "cautions": list(one.cautions),
        "sources": [{"file": name, "sha256": digest} for name, digest in one.sources],
    }


_PLAIN = ("correlation_cells", "u_slow", "shading", "set_up", "for_showing", "simulated")


def _map_of(told: dict[str, Any], light: Any, u_light: Any, usable: Any) -> FieldMap:
    if told["format"] != FORMAT:
        raise ValueError(f"format {told['format']!r}, this program knows {FORMAT}")
    columns, rows = told["cells"]
    if not light.shape == u_light.shape == usable.shape == (rows, columns):
        raise ValueError(f"numbers of {light.shape}, {(rows, columns)} told")
    shot = told["shot"]
    red, green, blue = (float(code) for code in shot["codes"])
    return FieldMap(
        shot=Shot(shot["name"], shot["kind"], (red, green, blue), shot["target_cd_m2"], shot["pose"]),
        panel_px=(int(told["panel_px"][0]), int(told["panel_px"][1])),
        light=light.astype(np.float32),
        u_light=u_light.astype(np.float32),
        usable=usable.astype(bool),
        cautions=tuple(told["cautions"]),
        sources=tuple((one["file"], one["sha256"]) for one in told["sources"]),
        focal_35_mm=_focal(told.get("focal_35_mm")),
        **{name: told[name] for name in _PLAIN},
    )


def _focal(value: Any) -> float | None:
    """Return what maps of older versions do not tell; ``ValueError`` where it is no length."""
    if value is None:
        return None
    if not isinstance(value, int | float) or not 0 < value < 1e5:
        raise ValueError("focal_35_mm is no focal length")
    return float(value)


def _like(u_pixels: Any, light: Any) -> Any:
    if u_pixels is not None and u_pixels.shape != light.shape:
        raise ValueError(f"u_pixels of {u_pixels.shape}, {light.shape} told")
    return None if u_pixels is None else u_pixels.astype(np.float32)


def _view_told(view: PanelView) -> dict[str, Any]:
    return {
        "frame_px": list(view.frame_px),
        "homography": view.homography.tolist(),
        "centre_px": list(view.centre),
        "k1": view.k1,
        "k2": view.k2,
    }


def _view_of(told: dict[str, Any]) -> PanelView | None:
    """Return where the panel lay in the frame; maps of older versions do not tell."""
    one = told.get("view")
    if one is None:
        return None
    (width, height), (wide, high), (x, y) = told["panel_px"], one["frame_px"], one["centre_px"]
    homography = np.array(one["homography"], dtype=np.float64)
    if homography.shape != (3, 3) or not np.isfinite(homography).all() or abs(np.linalg.det(homography)) < 1e-12:
        raise ValueError("a homography that cannot be undone")
    centre = (float(x), float(y))
    return PanelView(
        (int(width), int(height)), (int(wide), int(high)), homography, centre, float(one["k1"]), float(one["k2"])
    )


def _picture(one: FieldMap) -> bytes:
    steps = np.where(one.usable, np.nan_to_num(one.light) * PICTURE_ONE, 0).round()
    out = io.BytesIO()
    Image.fromarray(np.clip(steps, 0, 65535).astype(np.uint16)).save(out, format="PNG")
    return out.getvalue()
