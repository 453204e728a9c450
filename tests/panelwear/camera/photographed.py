"""The invented harbour-desk panel with maps in its checkpoints, made up with known changes."""

from __future__ import annotations

from pathlib import Path

from panelwear.camera.map_files import MAPS, save_map
from panelwear.camera.shots import Shot
from panelwear.camera.synthetic import MadeNoise, synthetic_map
from panelwear.folder.panel import load_panel
from patterns.frame import Rect

SHOTS = (
    Shot("grey-20cd", "field", (60.0, 60.0, 60.0), 20.0),
    Shot("grey-120cd", "field", (150.0, 150.0, 150.0), 120.0),
    Shot("blue-c180", "field", (0.0, 0.0, 180.0)),
)
LOGO = Rect(500, 240, 160, 96)
"""Where a worn rectangle lies that no zone names, px of 1280 x 720."""
LOGO_CHANGE = -0.012
ZONE_CHANGES = {"vessel-list": -0.03, "clock-badge": 0.01}
NOISE = MadeNoise(0.002, 1.0, slow=0.004)


def add_maps(panel_dir: Path, noise: MadeNoise = NOISE) -> None:
    """Put maps into every checkpoint: nothing wore at the first, all of it at the last."""
    panel = load_panel(panel_dir)
    folders = sorted((panel_dir / "checkpoints").iterdir(), key=lambda path: float(path.name.rpartition("-h")[2]))
    for age, folder in enumerate(folders):
        worn = age / max(len(folders) - 1, 1)
        rects = {zone.name: zone.rect for zone in panel.zones}
        changes = [(rects[name], worn * change) for name, change in ZONE_CHANGES.items()]
        changes.append((LOGO, worn * LOGO_CHANGE))
        for number, shot in enumerate(SHOTS):
            one = synthetic_map(
                tuple(changes), noise, seed=10 * age + number, shot=shot, panel_px=(panel.width_px, panel.height_px),
                texture_seed=number,
            )  # fmt: skip
            save_map(folder / MAPS, one)
