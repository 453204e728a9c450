"""Inks, grounds, spaces and sizes of everything the program writes on the screen; arithmetic alone.

Two palettes: one for a dark room, whose light stays under 1 cd/m² and holds little blue, which spoils adapted eyes
most; one for a lit room, whose text stands 7 : 1 against its ground with the room's light lying on both.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from panelwear.screen.governor import Viewing
from panelwear.screen.light import GAMMA, LUMINANCE_SHARES

Role = Literal["ink", "soft", "line", "accent", "edge", "filled", "lifted", "ground"]
Tint = tuple[float, float, float]

WARM: Tint = (1.0, 0.74, 0.42)
"""Linear shares of the three channels in what is written for dark rooms."""
PAPER: Tint = (1.0, 0.92, 0.78)
"""The same for lit rooms, where the eye takes a lamp's light for white."""
STEP_CD_M2 = 18.0
"""Most light of a mark that moves from row to row: below the 20 cd/m² from which ITU-R BT.1702 counts flashes."""
STEP_SHARE = 0.06
"""The same as a share of the peak: WCAG 2.3.1 counts from a tenth, and the governor judges every panel as one of
300 cd/m² too."""
TEXT_CONTRAST = 7.0
"""WCAG 2.2, 1.4.6: contrast of text, enhanced."""


@dataclass(frozen=True, slots=True)
class Palette:
    """Luminances in cd/m² of each role, and the light the room throws back from the glass."""

    ink: float
    soft: float
    """Notes, keys, and what cannot be taken."""
    line: float
    """Hairlines and frames; nothing is told by them alone."""
    accent: float
    """The bar beside the chosen row."""
    edge: float
    """Frame of what is chosen."""
    filled: float
    """Inside of a filled shape of a drawing."""
    lifted: float
    """Ground of the chosen row."""
    ground: float
    tint: Tint
    room_cd_m2: float

    def codes(self, role: Role, peak_cd_m2: float) -> tuple[int, int, int]:
        """Drive levels of a role on a panel of a peak luminance (assumed gamma 2.2); never more than it says."""
        luminance = float(getattr(self, role))
        if role in {"accent", "edge"}:
            luminance = min(luminance, STEP_SHARE * peak_cd_m2)
        return codes_for(luminance, peak_cd_m2, self.tint)


DARK = Palette(
    ink=1.0, soft=0.5, line=0.14, accent=1.0, edge=0.5, filled=0.1, lifted=0.05, ground=0.0, tint=WARM, room_cd_m2=0.01
)
LIT = Palette(
    ink=72.0,
    soft=50.0,
    line=9.0,
    accent=STEP_CD_M2,
    edge=STEP_CD_M2,
    filled=4.0,
    lifted=1.4,
    ground=0.4,
    tint=PAPER,
    room_cd_m2=6.4,
)
"""Of 500 lx, usual at a desk (EN 12464-1), a glass that scatters a twenty-fifth shows 500 x 0.04 / pi = 6.4 cd/m²."""


def palette_for(room: str) -> Palette:
    """Return the palette of a room, ``dark`` or ``lit``."""
    return LIT if room == "lit" else DARK


def codes_for(luminance_cd_m2: float, peak_cd_m2: float, tint: Tint = WARM) -> tuple[int, int, int]:
    """Find tinted codes that show at most ``luminance_cd_m2`` on an assumed gamma of 2.2."""
    tint_luminance = float(np.dot(tint, LUMINANCE_SHARES))
    linear = [min(1.0, share * luminance_cd_m2 / peak_cd_m2 / tint_luminance) for share in tint]
    red, green, blue = (int(255 * value ** (1 / GAMMA)) for value in linear)
    return red, green, blue


def contrast(one_cd_m2: float, other_cd_m2: float, veil_cd_m2: float) -> float:
    """Return the ratio of two luminances, the lighter over the darker, with what lies over both added to each.

    As WCAG 2.2 defines contrast ratio, with the real veil in the place of its assumed 0.05 of white.
    """
    lighter, darker = max(one_cd_m2, other_cd_m2), min(one_cd_m2, other_cd_m2)
    return (lighter + veil_cd_m2) / (darker + veil_cd_m2) if darker + veil_cd_m2 > 0 else math.inf


CAPITAL_SHARE = 0.727
"""Height of a capital, of the size: 2048 of 2816 units (the font files' own table of metrics)."""
CAPITAL_DEG = 0.4
"""Least height of a capital to the eye, for dark-adapted eyes and for a person of sixty; print for good light has 0.2
(about 20/20 acuity times five: common practice in ergonomics, ISO 9241-303 gives 20 to 22 minutes of arc)."""
MEASURE = 70
"""Letters in a line; a longer one loses the eye on its way back (common practice in typography)."""


def least_text_px(viewing: Viewing) -> int:
    """Return the smallest size of text whose capitals are 0.4 degrees high from where the screen is seen."""
    capital_mm = 2 * viewing.distance_mm * math.tan(math.radians(CAPITAL_DEG / 2))
    # The finer pitch counts: the text has to be high enough on either.
    px_per_mm = max(
        viewing.width_px / viewing.active_area_mm[0],
        viewing.height_px / viewing.active_area_mm[1],
    )
    return math.ceil(capital_mm * px_per_mm / CAPITAL_SHARE)


def page_text_px(viewing: Viewing) -> int:
    """Choose the size of a page's text: by the screen's pixels, never less than the eye needs.

    Where a small panel is seen from afar a page holds fifteen lines at least, and the text may stay below 0.4 degrees.
    """
    fair = round(min(viewing.height_px / 35, viewing.width_px / 56))
    return min(max(fair, least_text_px(viewing), 12), max(12, viewing.height_px // 22))


TIGHT = 0.25
CLOSE = 0.5
APART = 1.0
BREAK = 1.7
MARGIN = 2.4
"""The scale of spaces, in sizes of the text: inside a row, between lines that belong together, between parts, round
what stands alone, along the edge."""
