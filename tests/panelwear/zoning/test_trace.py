"""A picture to trace from: fitted to the panel's pixels, upright, grey; what is no picture is a sentence."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from panelwear.errors import UsageError
from panelwear.zoning import trace
from panelwear.zoning.trace import traced

PANEL = (64, 36)


def saved(path: Path, size: tuple[int, int], **how: object) -> Path:
    picture = np.zeros((size[1], size[0], 3), np.uint8)
    picture[:, : size[0] // 2] = (255, 255, 255)
    Image.fromarray(picture).save(path, **how)
    return path


def test_a_screenshot_of_the_panel_lies_pixel_on_pixel(tmp_path: Path) -> None:
    backdrop, told = traced(saved(tmp_path / "a.png", PANEL), PANEL)
    assert told == ""
    assert backdrop.picture.shape == (36, 64) and backdrop.picture.dtype == np.uint8
    assert (backdrop.picture[:, :32] == 255).all() and (backdrop.picture[:, 32:] == 0).all()


def test_another_size_is_fitted_and_said(tmp_path: Path) -> None:
    backdrop, told = traced(saved(tmp_path / "a.jpg", (128, 72), quality=95), PANEL)
    assert "128 x 72" in told and "another shape" not in told
    assert backdrop.picture[:, :28].min() > 240 and backdrop.picture[:, 36:].max() < 15


def test_another_shape_is_fitted_whole(tmp_path: Path) -> None:
    backdrop, told = traced(saved(tmp_path / "a.png", (40, 40)), PANEL)
    assert "another shape" in told
    assert (backdrop.picture[:, :13] == 0).all() and backdrop.picture[:, 15:30].min() > 240


def test_a_photograph_is_turned_upright(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[0x0112] = 8  # turned by a quarter, as EXIF 2.3 counts orientations
    backdrop, _ = traced(saved(tmp_path / "a.jpg", (36, 64), exif=exif, quality=95), PANEL)
    assert backdrop.picture[24:].min() > 240 and backdrop.picture[:12].max() < 15


def test_what_is_no_picture_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "a.png").write_text("no picture")
    whole = saved(tmp_path / "b.png", PANEL).read_bytes()
    (tmp_path / "cut.png").write_bytes(whole[: len(whole) // 2])
    saved(tmp_path / "c.gif", PANEL)
    for name in ("a.png", "cut.png", "c.gif", "missing.png", "."):
        with pytest.raises(UsageError, match="--trace"):
            traced(tmp_path / name, PANEL)


def test_a_picture_of_far_too_many_pixels_is_not_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trace, "LARGEST_PIXELS", 100)
    with pytest.raises(UsageError, match="too many"):
        traced(saved(tmp_path / "a.png", PANEL), PANEL)
