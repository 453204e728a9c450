"""The title card of a shoot: words for a person, a QR code for whoever reads the photographs."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from panelwear.camera.shots import ShootLabel
from panelwear.errors import UsageError
from panelwear.extras import needing
from panelwear.screen.camera import TITLE_CARD_CODE
from patterns.frame import Frame
from patterns.label_card import label_card


def qr_matrix(text: str) -> NDArray[np.bool_]:
    """Return the modules of a QR code, ``(n, n)``, true where dark, without quiet zone; error correction M.

    Raises:
        UsageError: what writes QR codes is not installed, or no QR code holds so much.
    """
    with needing("the camera"):
        import segno
    try:
        code = segno.make(text, error="m", micro=False)
    except segno.DataOverflowError:
        raise UsageError(
            f"no QR code holds the {len(text)} characters of the title card; photograph fewer fields in other poses"
        ) from None
    return np.array([[bool(module) for module in row] for row in code.matrix])


def shoot_card(size_px: tuple[int, int], label: ShootLabel, lines: Sequence[str]) -> Frame:
    """Draw the title card of a shoot.

    Args:
        size_px: Width and height of the screen.
        label: What the QR code holds.
        lines: The words beside it.
    """
    return label_card(*size_px, (TITLE_CARD_CODE,) * 3, lines, qr_matrix(label.text()))
