"""The title card of a shoot is read back from a picture of it as a camera takes it."""

from __future__ import annotations

import sys

import numpy as np
import pytest
import zxingcpp
from scipy.ndimage import gaussian_filter
from skimage.transform import ProjectiveTransform, warp

from panelwear.camera.qr_code import qr_matrix, shoot_card
from panelwear.camera.shots import ShootLabel, label_of
from panelwear.errors import UsageError
from patterns.errors import PatternError
from patterns.raster import raster

SIZE = (1920, 1080)
SHOTS = ("dots", "stairs", "black", *(f"grey-{n}cd" for n in (5, 20, 50, 120)), "red-c128", "green-c128", "blue-c128",
         "red-c220", "green-c220", "blue-c220", "dots-end", "even-surface")  # fmt: skip
LABEL = ShootLabel("harbour-desk", "2026-02-03-h1460", "shoot-1", SHOTS)
WORDS = ("panel: harbour-desk", "hours: 1460", "date:  2026-02-03", "shoot: shoot-1")


def photographed(blur_px: float, tilt: float, seed: int = 3) -> np.ndarray:
    """Take a picture of the card: linear light, perspective of +-``tilt`` of the frame, blur, noise of 2 %, 8 bits."""
    light = (raster(shoot_card(SIZE, LABEL, WORDS))[..., 1] / 255.0) ** 2.2
    corners = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * SIZE
    shift = np.random.default_rng(seed).uniform(-tilt, tilt, (4, 2)) * SIZE
    view = ProjectiveTransform.from_estimate(0.8 * corners + 0.1 * np.array(SIZE) + shift, corners)
    seen = gaussian_filter(warp(light, view, output_shape=SIZE[::-1]), blur_px)
    noisy = seen / seen.max() + np.random.default_rng(seed + 1).normal(0, 0.02, seen.shape)
    return np.round(255 * np.clip(noisy, 0, 1) ** (1 / 2.2)).astype(np.uint8)


def read(picture: np.ndarray) -> list[str]:
    return [one.text for one in zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)]


@pytest.mark.parametrize("seed", range(4))
def test_it_is_read_from_a_tilted_blurred_noisy_picture(seed: int) -> None:
    module_px = dict(shoot_card(SIZE, LABEL, WORDS).shape)["module_px"]
    (text,) = read(photographed(0.2 * float(module_px), 0.06, seed))
    assert label_of(text) == LABEL


def test_a_blur_of_a_module_hides_it() -> None:
    """The test above can fail: measured elsewhere, nothing is read from 0.75 of a module on."""
    module_px = float(dict(shoot_card(SIZE, LABEL, WORDS).shape)["module_px"])
    assert read(photographed(1.2 * module_px, 0.06)) == []


def test_the_card_stays_dim_and_says_its_words_in_the_other_half() -> None:
    frame = shoot_card(SIZE, LABEL, WORDS)
    picture = raster(frame)
    assert picture.max() == 60
    square = next(fill.rect for fill in frame.fills if fill.rect.w == fill.rect.h > 200)
    assert square.x >= SIZE[0] // 2 and square.right < SIZE[0] and square.bottom < SIZE[1]
    words = picture[:, : SIZE[0] // 2]
    assert 0 < (words > 0).mean() < 0.2
    assert float((picture[..., 0] > 0).mean()) == pytest.approx(frame.lit_share)


def test_four_light_modules_lie_round_the_code() -> None:
    frame = shoot_card(SIZE, LABEL, WORDS)
    module_px = int(dict(frame.shape)["module_px"])
    square = next(fill.rect for fill in frame.fills if fill.rect.w == fill.rect.h > 200)
    picture = raster(frame)[square.y : square.bottom, square.x : square.right, 0] > 0
    modules = ~picture[module_px // 2 :: module_px, module_px // 2 :: module_px]
    assert not modules[:4].any() and not modules[-4:].any() and not modules[:, :4].any() and not modules[:, -4:].any()
    assert np.array_equal(modules[4:-4, 4:-4], qr_matrix(LABEL.text()))


def test_a_screen_too_small_for_the_code_is_refused() -> None:
    with pytest.raises(PatternError, match="needs 1"):
        shoot_card((200, 120), LABEL, WORDS)


def test_what_is_to_be_installed_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "segno", None)
    with pytest.raises(UsageError, match=r'segno; pip install -e "\.\[camera\]"'):
        qr_matrix("anything")


def test_the_longest_list_there_may_be_is_read_too() -> None:
    """60 fields of the longest names, and their other poses, on 1920 x 1080."""
    names = tuple(f"green-{n + 0.125:g}cd" for n in range(100, 160))
    shots = ("dots", "stairs", "black", *names, "dots-end", *(f"dots-pose{n}" for n in (1, 2, 3)), "even-surface")
    label = ShootLabel("harbour-desk", "2026-02-03-h1460", "shoot-1", shots)
    frame = shoot_card(SIZE, label, WORDS)
    assert int(dict(frame.shape)["module_px"]) >= 6
    (text,) = read(raster(frame)[..., 1].copy())
    assert label_of(text) == label


def test_more_than_a_qr_code_holds_is_refused() -> None:
    with pytest.raises(UsageError, match="no QR code holds the 3000 characters"):
        qr_matrix("x" * 3000)
