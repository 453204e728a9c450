"""The title card of a shoot as it stood on the screen, and whether a label is of it, whatever its folder is named."""

from __future__ import annotations

from panelwear.camera.qr_code import shoot_card
from panelwear.camera.shots import ShootLabel
from panelwear.errors import UsageError
from panelwear.folder.checkpoint import Checkpoint
from panelwear.folder.hours import HoursOfUse, recorded
from panelwear.folder.panel import Panel
from panelwear.folder.shoots import ShootRecord
from patterns import PatternError
from patterns.frame import Frame

MOST_PX = 8192
"""Pixels of a side for which a card is drawn to be compared; a record may be anybody's, and a card fills memory."""


def card_of(
    record: ShootRecord, label: ShootLabel, panel_name: str, use: HoursOfUse, size_px: tuple[int, int]
) -> Frame:
    """Draw the title card of a shoot.

    Args:
        record: The shoot.
        label: What its QR code holds.
        panel_name: As ``panel.toml`` has it.
        use: Hours of use.
        size_px: Width and height of the screen.
    """
    lines = (
        f"panel: {panel_name}",
        f"hours: {use.words.removesuffix(' h')}",
        f"date:  {record.started_utc[:10]}",
        f"shoot: {record.shoot}",
    )
    return shoot_card(size_px, label, lines)


def is_of(label: ShootLabel, panel: Panel, found: Checkpoint, record: ShootRecord | None) -> bool:
    """Tell whether a label read off a photograph is of this panel, were its folder copied or renamed since.

    The shoot's record keeps what its card called the panel. A record of before that, or none, leaves the names the
    panel has or had; and the digest of the card that stood, which no other card has.
    """
    if record is not None and record.panel:
        return label.panel == record.panel
    names = {panel.directory.resolve().name, panel.name, found.record.get("panel")}
    return label.panel in names or (record is not None and _is_the_card(label, panel, found, record))


def _is_the_card(label: ShootLabel, panel: Panel, found: Checkpoint, record: ShootRecord) -> bool:
    """Tell whether a card with this label has the very pixels that stood as the shoot's title card."""
    from panelwear.screen.bands import digest

    stood = next((one.frame_sha256 for one in record.shots if one.kind == "title-card"), None)
    width, height = (record.screen.get(key, 0) for key in ("width_px", "height_px"))
    if stood is None or not all(isinstance(side, int) and 0 < side <= MOST_PX for side in (width, height)):
        return False
    names = {str(found.record.get("panel", panel.name)), panel.name}
    for name, use in ((name, use) for name in names for use in {recorded(found.record), found.use}):
        try:
            if digest(card_of(record, label, name, use, (width, height))) == stood:
                return True
        except (UsageError, PatternError):  # no card such as this was ever drawn
            return False
    return False
