"""What the start screen knows in the pictures of the documents: two invented panels, two monitors, a meter."""

from __future__ import annotations

from panelwear.screen.monitors import Monitor
from panelwear.start.facts import Choice, PanelFacts, World

DESK = PanelFacts(
    "/home/them/panelwear/harbour-desk",
    name="harbour-desk",
    width_px=3840,
    height_px=2160,
    hours="1460 h",
    last="last: 2026-02-03, spot",
    open_name="2026-02-03-h1460",
    doing="close",
    next_step="2026-02-03-h1460 is open: look through it, then close it",
    checkpoints=2,
    readings=204,
)
SPARE = PanelFacts(
    "/home/them/panelwear/spare-desk",
    name="spare-desk",
    width_px=2560,
    height_px=1440,
    hours="310 h",
    last="last: 2025-11-02, checkpoint",
    doing="inspect",
    next_step="due since 2026-02-01: inspect it",
    checkpoints=1,
    readings=610,
)
WORLD = World(
    panels=(DESK, SPARE),
    monitors=(Monitor(0, 3840, 2160, "DP-1", size_mm=(596.7, 335.7)), Monitor(1, 1920, 1080, "HDMI-1")),
    links=(Choice("/dev/ttyUSB0", "/dev/ttyUSB0", "USB serial"),),
    instruments=(Choice("plain-lines", "plain-lines"), Choice("scpi-colorimeter", "scpi-colorimeter")),
    sequences=(Choice("checkpoint", "checkpoint"), Choice("half-hour", "half-hour")),
    home="/home/them/panelwear",
)
