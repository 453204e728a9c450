"""What one shoot consists of: its shots in order, and the label from which a photograph of the title card is known."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args
from urllib.parse import quote, unquote

from patterns.frame import Codes
from sequences.model import HUES, Hue

ShotKind = Literal["title-card", "dots", "stairs", "black", "field", "even-surface"]
"""``even-surface`` stands on no screen: it is a photograph of a flat, evenly lit surface through the same lens."""
Channel = Literal["grey", "red", "green", "blue"]
"""What a photograph of a field can be told to be of; shooting lists ask for no other."""
LABEL_MARK = "panelwear-shoot-1"
"""What a label begins with: program, kind of label, version of its layout."""


@dataclass(frozen=True, slots=True)
class Shot:
    """One picture to be taken, one or more frames of it."""

    name: str
    """Unique in its shoot and fit for a file name: ``dots``, ``grey-120cd``, ``red-c180``, ``grey-20cd-pose2``."""
    kind: ShotKind
    codes: Codes = (0.0, 0.0, 0.0)
    """Drive levels as shown."""
    target_cd_m2: float | None = None
    """The luminance wanted, where the panel's response told the drive levels."""
    pose: int = 0
    """0 is the place that is kept from checkpoint to checkpoint; others part the lens's shading from the panel."""

    @property
    def channel(self) -> Hue:
        """Which sub-pixels are lit, as a hue; grey for all three, and for black."""
        lit = tuple(int(code > 0) for code in self.codes)
        found: list[Hue] = [hue for hue in get_args(Hue) if HUES[hue] == lit]
        return found[0] if found else "grey"


@dataclass(frozen=True, slots=True)
class ShootLabel:
    """What the title card's QR code holds."""

    panel: str
    """Name of the panel's folder."""
    checkpoint: str
    """Name of the checkpoint's folder."""
    shoot: str
    """Which shoot of the checkpoint: ``shoot-1``."""
    shots: tuple[str, ...]
    """Names of the shots that follow, in their order."""

    def text(self) -> str:
        """Return the label as the QR code holds it: fields parted by ``;``, everything else percent-encoded."""
        parts = (self.panel, self.checkpoint, self.shoot, *self.shots)
        return ";".join((LABEL_MARK, *(quote(part, safe="") for part in parts)))


def label_of(text: str) -> ShootLabel | None:
    """Return the label a QR code holds; ``None`` for any other text, however long or odd."""
    mark, *parts = text.split(";")
    if mark != LABEL_MARK or len(parts) < 3 or len(text) > 4000:
        return None
    panel, checkpoint, shoot, *shots = (unquote(part) for part in parts)
    return ShootLabel(panel, checkpoint, shoot, tuple(shots))
