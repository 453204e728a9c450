"""Moire against sub-pixels really integrated over camera pixels, and against the aliases the sampling theorem gives."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from panelwear.simulation.camera.exposing import Optics, Room, frame_shading
from panelwear.simulation.camera.model import Pose, Sensor, SubPixels, filter_index
from panelwear.simulation.camera.seen import disc_on_panel
from panelwear.simulation.camera.subpixels import disc_mtf
from panelwear.simulation.camera.surface import PanelSurface
from panelwear.simulation.model import HARBOUR_DESK_PANEL
from panelwear.simulation.panel import SimulatedPanel
from panelwear.simulation.uniformity import EVEN
from patterns import build, raster
from tests.panelwear.simulation.camera.small import camera
from tests.references import value

EVEN_PANEL = replace(HARBOUR_DESK_PANEL, uniformity=EVEN, black_cd_m2=0.0, active_area_mm=(320.0, 180.0))
PANEL = (320, 180)
SENSOR = Sensor(size_px=(600, 400), pitch_um=60.0)


def electrons(p: float, blur_px: float, code: tuple[float, float, float], **pose: float) -> tuple[Optics, np.ndarray]:
    """Electrons before an even panel whose pixels are p camera pixels wide, the fall-off divided out."""
    one = camera(SENSOR, k1=0.0, k2=0.0, blur_px=blur_px)
    panel = PanelSurface(SimulatedPanel(EVEN_PANEL).at(0.0), PANEL)
    optics = Optics(one, Pose(fill=p * PANEL[0] / 600, **pose), panel, room=Room(0.0, 0.0))
    frame = optics.electrons(raster(build("field", *PANEL, codes=code)), 0.1) / frame_shading(one)
    return optics, frame


def integrated(optics: Optics, code: tuple[float, float, float], at: tuple[int, int], fine: int = 200) -> float:
    """Integrate the luminous areas over one camera pixel and its blur, on a fine grid, straight from their edges.

    The grid stands aslant on the edges, so that what it takes too much of one line it lacks in the next.
    """
    sigma = optics.camera.lens.blur_px
    reach = 0.5 + 5 * sigma
    steps = (np.arange(round(2 * reach * fine)) + 0.5) / fine - reach
    from scipy.special import erf

    # A pixel's box blurred by a Gaussian, along one axis.
    weight = 0.5 * (erf((steps + 0.5) / (sigma * 2**0.5)) - erf((steps - 0.5) / (sigma * 2**0.5))) / fine
    x, y = np.meshgrid(at[0] + 0.5 + steps, at[1] + 0.5 + steps)
    place = optics.view.to_panel(np.stack([x, y], axis=-1)) % 1.0
    which = filter_index(optics.camera.sensor.bayer)[at[1] % 2, at[0] % 2]
    picture = raster(build("field", *PANEL, codes=code))
    light = optics.surface.light(picture)[:, 90, 160]
    total = 0.0
    for channel, (cx, cy, w, h) in enumerate((optics.layout.red, optics.layout.green, optics.layout.blue)):
        lit = (np.abs(place[..., 0] - cx) < w / 2) & (np.abs(place[..., 1] - cy) < h / 2)
        seen = (weight[:, None] * weight * lit).sum() / (w * h)
        total += optics.camera.sensor.electrons[which][channel] * float(light[channel]) * seen
    return total * 0.1 / optics.camera.lens.f_number**2


@pytest.mark.parametrize("code", [(0.0, 200.0, 0.0), (180.0, 180.0, 180.0), (0.0, 0.0, 220.0)])
@pytest.mark.parametrize(
    ("p", "blur_px", "pose"), [(1.6, 0.25, {"roll_deg": -4.0}), (1.05, 0.2, {"roll_deg": 1.5, "turn_deg": 2.0})]
)
def test_each_camera_pixel_holds_the_light_of_the_luminous_areas_under_it(
    code: tuple[float, float, float], p: float, blur_px: float, pose: dict[str, float]
) -> None:
    optics, frame = electrons(p, blur_px, code, **pose)
    rng = np.random.default_rng(5)
    mean = float(frame[180:220, 280:320].mean())
    spread = 0.0
    for x, y in zip(rng.integers(260, 340, 24), rng.integers(170, 230, 24), strict=True):
        wanted = integrated(optics, code, (int(x), int(y)))
        # Harmonics up to the third stand for sharp edges: what is left out is below 0.4 % at these blurs.
        assert frame[y, x] == pytest.approx(wanted, rel=0.004, abs=0.002 * mean), (x, y)
        spread = max(spread, abs(wanted / mean - 1))
    assert spread > 0.02  # there is something to be seen


def test_the_beat_has_the_period_the_sampling_theorem_gives() -> None:
    record = value("MOIRE")
    for p, harmonic, period in zip(
        record["inputs"]["p_px"], record["inputs"]["harmonic"], record["expected"], strict=True
    ):
        if p > 1.8:
            continue  # a panel of 320 pixels would not fit the frame
        _, frame = electrons(p, 0.15, (0.0, 200.0, 0.0))
        half = round(p * PANEL[0] / 2) - 20
        row = frame[200:260:2, 300 - half : 300 + half].mean(axis=0)  # one row's filters: green and red alternate
        greens = row[(300 - half + 1) % 2 :: 2] / row[(300 - half + 1) % 2 :: 2].mean() - 1
        # Pixels of one filter lie two apart: their beat is that of a grid of p / 2.
        shift = abs(2 * harmonic / p - round(2 * harmonic / p)) / 2
        told = abs(harmonic / p - round(harmonic / p))
        assert 1 / told == pytest.approx(period, abs=record["tolerance"])
        assert shift == pytest.approx(min(told, abs(0.5 - told)))
        spectrum = np.abs(np.fft.rfft(greens * np.hanning(len(greens)), 8192))
        frequency = np.fft.rfftfreq(8192, 2.0)  # cycles per camera pixel
        found = frequency[1:][spectrum[1:].argmax()]
        assert found == pytest.approx(shift, abs=0.5 / (2 * half))


def test_blur_takes_the_beat_away_and_costs_nothing_then() -> None:
    # Gaussian blur of 0.68 panel pixels leaves 1e-4 of the grid: exp(-2 pi^2 0.683^2), camera.md and any table of it.
    _, sharp = electrons(1.05, 0.2, (0.0, 200.0, 0.0))
    optics, soft = electrons(1.05, 0.8, (0.0, 200.0, 0.0))
    middle = (slice(121, 281, 2), slice(180, 420, 2))
    assert sharp[middle].std() / sharp[middle].mean() > 0.01
    assert soft[middle].std() / soft[middle].mean() < 5e-5
    assert np.exp(-2 * np.pi**2 * 0.683**2) == pytest.approx(1e-4, rel=0.02)
    assert optics.layout == SubPixels()


@pytest.mark.parametrize(("diameter", "left"), [(1.22, 0.0), (1.5, -0.12), (2.0, -0.07), (2.23, 0.0), (3.0, 0.04)])
def test_a_defocus_disc_leaves_what_the_formula_has(diameter: float, left: float) -> None:
    """Source: tests/references/camera.md, moire: 2 J1(x)/x at the grid's frequency, zeros at 1.22 and 2.23 pitches."""
    assert float(disc_mtf(diameter, np.array(1.0))) == pytest.approx(left, abs=0.005)
    assert float(disc_mtf(0.0, np.array(0.7))) == 1.0


def test_a_disc_defocuses_waves_and_edges_alike() -> None:
    """What the harmonics lose and what the picture on the panel is blurred by are one and the same disc."""
    p, disc = 1.35, 12.0
    lens = camera(SENSOR, k1=0.0, k2=0.0, blur_px=0.0, disc_px=disc)
    panel = PanelSurface(SimulatedPanel(EVEN_PANEL).at(0.0), PANEL)
    optics = Optics(lens, Pose(fill=p * PANEL[0] / 600), panel, room=Room(0.0, 0.0))
    kernel = disc_on_panel(lens, optics.view)
    assert kernel.sum() == pytest.approx(1, abs=1e-6)
    # An even disc of diameter d has the variance d^2 / 16 along each direction.
    at = np.arange(len(kernel)) - len(kernel) // 2
    for line in (kernel.sum(axis=0), kernel.sum(axis=1)):
        assert float((line * at**2).sum()) == pytest.approx((disc / p) ** 2 / 16 + 1 / 12, rel=0.03)
    # A wave of the panel, 24 of its pixels long: what the kernel leaves of it is what the formula says.
    wave = float((kernel.sum(axis=0) * np.cos(2 * np.pi * at / 24)).sum())
    assert wave == pytest.approx(float(disc_mtf(disc, np.array(1 / 24 / p))) * np.sinc(1 / 24), rel=0.01)
