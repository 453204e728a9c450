"""The true values of a simulated panel: the values an inspection should find, without any probe."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass

import numpy as np
from numpy.typing import NDArray

from panelwear.simulation.aperture import disc_points
from panelwear.simulation.behaviour import LOAD_WEIGHTS
from panelwear.simulation.emission import Spot, drives
from panelwear.simulation.panel import PanelState
from panelwear.simulation.usage import Content
from patterns.frame import Codes
from sequences.model import HUES

Real = NDArray[np.float64]

WINDOW_PERCENTS = (1, 2, 4, 8, 10, 16, 32, 64, 100)
ZONE_CODES = (64, 128, 180, 255)
CHANNELS = ("grey", "red", "green", "blue")


@dataclass(frozen=True, slots=True)
class Truth:
    """True values of a warmed-up panel at one age; ``XYZ`` and luminances in cd/m², at the centre unless said."""

    hours: float
    peak_cd_m2: Mapping[str, float]
    """White at code 255 on black by window: ``w1`` .. ``w100``."""
    black_cd_m2: float
    contrast: float
    """Peak of the 10 % window over black, both with a dark room."""
    white_XYZ: tuple[float, float, float]
    """White at code 255 in a 10 % window."""
    white_xy: tuple[float, float]
    white_uv_prime: tuple[float, float]
    white_cct_K: float
    white_duv: float
    primaries_XYZ: Mapping[str, tuple[float, float, float]]
    """Red, green, blue at code 255 in a 10 % window."""
    additivity: float
    """Y of white over the sum of Y of red, green and blue, 10 % windows, black taken out."""
    zone_contrast: Mapping[str, Mapping[str, Mapping[str, float]]]
    """Zone, then ``grey red green blue``, then ``c64`` .. ``c255``: L_zone / L_reference - 1."""
    zone_change: Mapping[str, Mapping[str, Mapping[str, float]]]
    """The same with the new panel's own unevenness taken out: ratio of ratios - 1. Above 0: the zone aged less."""
    retention: Mapping[str, Mapping[str, float]]
    """``centre`` and every zone, then ``red green blue`` (and ``white`` where there is one): what is left of the
    channel's luminance at code 255."""

    def as_json(self) -> dict[str, object]:
        """Give plain data for a JSON file."""
        return asdict(self)


def truth_of(state: PanelState, aperture_mm: float = 10.0) -> Truth:
    """Work out the true values of a panel at one age, means over an aperture exactly in its place."""
    from panelwear.colorimetry.basic import uv_prime_of, xy_of
    from panelwear.colorimetry.cct import cct_duv

    centre = _spot(state, (0.5, 0.5), aperture_mm)
    white = _light(state, centre, (255, 255, 255), 0.10)
    primaries = {hue: _light(state, centre, _codes(hue, 255), 0.10) for hue in ("red", "green", "blue")}
    black = state.panel.emission.black
    peaks = {f"w{p}": float(_light(state, centre, (255, 255, 255), p / 100)[1]) for p in WINDOW_PERCENTS}
    cct, duv = (float(v) for v in cct_duv(white))
    new = state.panel.at(0.0)
    return Truth(
        hours=state.hours,
        peak_cd_m2=peaks,
        black_cd_m2=float(black[1]),
        contrast=peaks["w10"] / float(black[1]) if black[1] > 0 else math.inf,
        white_XYZ=_three(white),
        white_xy=_pair(xy_of(white)),
        white_uv_prime=_pair(uv_prime_of(white)),
        white_cct_K=cct,
        white_duv=duv,
        primaries_XYZ={hue: _three(xyz) for hue, xyz in primaries.items()},
        additivity=float((white - black)[1] / sum((xyz - black)[1] for xyz in primaries.values())),
        zone_contrast=_zones(state, aperture_mm),
        zone_change=_changes(_zones(state, aperture_mm), _zones(new, aperture_mm)),
        retention=_retentions(state, new, aperture_mm),
    )


def load_of(state: PanelState, codes: Codes, lit_share: float, background: Codes = (0, 0, 0)) -> float:
    """Give the load of one colour over a share of the screen on a background, 0..1."""
    both = drives(state.panel.emission.curves, [codes, background]) @ np.array(LOAD_WEIGHTS)
    return float(lit_share * both[0] + (1 - lit_share) * both[1])


def _light(state: PanelState, spot: Spot, codes: Codes, lit_share: float) -> Real:
    gain = state.model.limiter.gain(load_of(state, codes, lit_share))
    return _unlimited(state, spot, codes) * gain + state.panel.emission.black


def _unlimited(state: PanelState, spot: Spot, codes: Codes) -> Real:
    drive = drives(state.panel.emission.curves, np.broadcast_to(codes, (len(spot.gain), 3)))
    return np.asarray(state.panel.emission.light(drive, spot).mean(axis=0))


def _spot(state: PanelState, at: tuple[float, float], aperture_mm: float, within: Content | None = None) -> Spot:
    """Give wear under a disc; only the points inside a zone's edges when one is given."""
    wide, high = state.model.active_area_mm
    points = np.asarray(at) + disc_points(397) * (aperture_mm / 2) / np.array([wide, high])
    if within is not None:
        left, top, right, bottom = within.share
        inside = (points >= (left, top)).all(axis=1) & (points < (right, bottom)).all(axis=1)
        points = points[inside]
    return state.spot(points[:, 0], points[:, 1])


def _zone_spots(state: PanelState, aperture_mm: float) -> dict[str, Spot]:
    spots = {}
    for content in state.model.usage:
        left, top, right, bottom = content.share
        spots[content.zone] = _spot(state, ((left + right) / 2, (top + bottom) / 2), aperture_mm, content)
    return spots


def _zones(state: PanelState, aperture_mm: float) -> dict[str, dict[str, dict[str, float]]]:
    spots = _zone_spots(state, aperture_mm)
    if not spots:
        return {}
    reference, *others = spots
    contrasts: dict[str, dict[str, dict[str, float]]] = {}
    for zone in others:
        contrasts[zone] = {
            hue: {
                f"c{code}": float(
                    _unlimited(state, spots[zone], _codes(hue, code))[1]
                    / _unlimited(state, spots[reference], _codes(hue, code))[1]
                    - 1
                )
                for code in ZONE_CODES
            }
            for hue in CHANNELS
        }
    return contrasts


def _changes(
    now: dict[str, dict[str, dict[str, float]]], new: dict[str, dict[str, dict[str, float]]]
) -> dict[str, dict[str, dict[str, float]]]:
    return {
        zone: {
            hue: {code: (1 + value) / (1 + new[zone][hue][code]) - 1 for code, value in levels.items()}
            for hue, levels in hues.items()
        }
        for zone, hues in now.items()
    }


def _retentions(state: PanelState, new: PanelState, aperture_mm: float) -> dict[str, dict[str, float]]:
    spots = {"centre": _spot(state, (0.5, 0.5), aperture_mm), **_zone_spots(state, aperture_mm)}
    fresh = {"centre": _spot(new, (0.5, 0.5), aperture_mm), **_zone_spots(new, aperture_mm)}
    names = ("red", "green", "blue", "white") if state.model.white_share > 0 else ("red", "green", "blue")
    return {
        place: {name: float(_full(spot)[channel] / _full(fresh[place])[channel]) for channel, name in enumerate(names)}
        for place, spot in spots.items()
    }


def _full(spot: Spot) -> Real:
    return np.asarray((spot.gain * (1 + spot.backplane)).mean(axis=0))


def _codes(hue: str, code: float) -> Codes:
    red, green, blue = (code * driven for driven in HUES[hue])
    return (red, green, blue)


def _three(values: Real) -> tuple[float, float, float]:
    x, y, z = map(float, values)
    return (x, y, z)


def _pair(values: Real) -> tuple[float, float]:
    x, y = map(float, values)
    return (x, y)
