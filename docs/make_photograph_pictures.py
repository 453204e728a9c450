"""Simulated photographs, good and spoiled, for docs/simulation.md. Run: python docs/make_photograph_pictures.py."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from panelwear.camera.qr_code import shoot_card
from panelwear.camera.shots import ShootLabel
from panelwear.simulation.camera.developing import developed, for_showing
from panelwear.simulation.camera.faults import Fault, spoiled
from panelwear.simulation.camera.model import SMALL_CAMERA
from panelwear.simulation.camera.seen import white_response
from panelwear.simulation.camera.shooting import Shoot, Taken, frames
from panelwear.simulation.camera.shots import wanted_shots
from panelwear.simulation.camera.surface import PanelSurface
from panelwear.simulation.panel import SimulatedPanel
from sequences.model import PanelFacts
from sequences.shoots import source_of

PANEL = (960, 540)
TILE = (375, 250)
OUT = Path(__file__).parent / "pictures" / "simulated-photographs.jpg"
TILES: tuple[tuple[str, Fault | None, str], ...] = (
    ("title card", None, "title-card"),
    ("dots", None, "dots"),
    ("staircase", None, "stairs"),
    ("blue, 4400 h", None, "blue-c128"),
    ("even surface", None, "even-surface"),
    ("moire, enlarged", "moire", "green-c128"),
    ("bands", "bands", "green-c200"),
    ("a corner cut off", "cut-off", "red-c128"),
    ("too oblique", "oblique", "grey-50cd"),
)


def shoot(surface: PanelSurface) -> Shoot:
    """Give the shipped list, one frame a shot."""
    _, listed = source_of("usual")
    facts = PanelFacts(*PANEL, surface.state.model.active_area_mm, peak_cd_m2=surface.state.model.peak_cd_m2)
    wanted = tuple(replace(one, frames=1) for one in wanted_shots(listed, surface.state, facts))
    label = ShootLabel("harbour-desk", "2027-01-07-h4400", "shoot-1", tuple(one.shot.name for one in wanted))
    card = shoot_card(PANEL, label, ["panel: harbour-desk", "hours: 4400", "date:  2027-01-07", "shoot: shoot-1"])
    return Shoot(SMALL_CAMERA, label, card, wanted, datetime(2027, 1, 7, 18, tzinfo=UTC))


def one_frame(wish: Shoot, surface: PanelSurface, name: str) -> Taken:
    """Take one shot of a shoot."""
    only = replace(wish, wanted=tuple(one for one in wish.wanted if one.shot.name == name), order=())
    return list(frames(only, surface))[-1]


def tile(title: str, taken: Taken, wish: Shoot, surface: PanelSurface) -> Image.Image:
    """Develop a frame as the camera's own JPEG has it, small."""
    red, green, blue = white_response(wish.camera, surface)
    shown: NDArray[np.uint8] = for_showing(
        developed(taken.raw, wish.camera.sensor, (float(red / green), 1.0, float(blue / green)))
    )
    whole = Image.fromarray(shown)
    small = whole.crop((560, 380, 560 + TILE[0], 380 + TILE[1])) if "enlarged" in title else whole.resize(TILE)
    ImageDraw.Draw(small).text((8, 6), title, fill=(255, 220, 120), font_size=15, stroke_width=2, stroke_fill=0)
    return small


def main() -> None:
    """Write the picture."""
    surface = PanelSurface(SimulatedPanel().at(4400.0), PANEL)
    good = shoot(surface)
    sheet = Image.new("RGB", (3 * TILE[0] + 8, 3 * TILE[1] + 8), (90, 90, 90))
    for number, (title, fault, name) in enumerate(TILES):
        wish = good if fault is None else spoiled(good, fault, PANEL)
        place = (number % 3 * (TILE[0] + 4), number // 3 * (TILE[1] + 4))
        sheet.paste(tile(title, one_frame(wish, surface, name), wish, surface), place)
    sheet.save(OUT, quality=88, subsampling=0)
    print(f"{OUT.name}: {OUT.stat().st_size // 1000} kB")


if __name__ == "__main__":
    main()
