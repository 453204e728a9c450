"""How the probe is put on the panel, drawn and in words: shown before the first placement of an evening, and by h."""

from __future__ import annotations

from panelwear.screen.page import Box, Buttons, Dot, Drawing, Item, Page, Stroke, Words

_ASPECT = 3.6
"""Width over height of the drawing: three pictures side by side."""
_GO_ON = "go-on"


def _at(picture: int, x: float, y: float) -> tuple[float, float]:
    """Return a point of one of the three pictures, given in shares of it, in shares of the whole drawing."""
    return (picture / 3 + 0.015 + x * 0.30, y)


def _box(picture: int, x: float, y: float, w: float, h: float) -> tuple[float, float, float, float]:
    left, top = _at(picture, x, y)
    return (left, top, w * 0.30, h)


def _front() -> tuple[Box | Dot | Stroke, ...]:
    """The panel from the front: the probe on it, its cable over the upper edge, a weight behind."""
    return (
        Box(_box(0, 0.0, 0.18, 1.0, 0.74)),
        Stroke((_at(0, 0.5, 0.46), _at(0, 0.5, 0.18), _at(0, 0.56, 0.08), _at(0, 0.62, 0.02))),
        Dot(_at(0, 0.5, 0.56), 0.026, filled=True, strong=True),
        Stroke((_at(0, 0.44, 0.46), _at(0, 0.44, 0.18))),
        Stroke((_at(0, 0.56, 0.46), _at(0, 0.56, 0.18))),
        Box(_box(0, 0.41, 0.02, 0.18, 0.12), strong=True),
    )


def _side() -> tuple[Box | Dot | Stroke, ...]:
    """The glass from the side: a probe that lies flat, and one that is tilted and lets light in."""
    return (
        Box(_box(1, 0.16, 0.10, 0.03, 0.82), "glass", filled=True),
        Box(_box(1, 0.20, 0.34, 0.14, 0.34), "flat", strong=True),
        Box(_box(1, 0.66, 0.10, 0.03, 0.82), filled=True),
        Stroke((_at(1, 0.70, 0.30), _at(1, 0.80, 0.66), _at(1, 0.92, 0.56), _at(1, 0.82, 0.20), _at(1, 0.70, 0.30))),
        Stroke((_at(1, 0.86, 0.90), _at(1, 0.73, 0.62)), arrow=True),
    )


def _target() -> tuple[Box | Dot | Stroke, ...]:
    """The target with the probe beside it, and the arrow that says which way to move it."""
    corners = []
    for x, y in ((0.30, 0.20), (0.70, 0.20), (0.30, 0.80), (0.70, 0.80)):
        inward_x, inward_y = (0.07 if x < 0.5 else -0.07), (0.12 if y < 0.5 else -0.12)
        corners.append(Stroke((_at(2, x + inward_x, y), _at(2, x, y), _at(2, x, y + inward_y)), strong=True))
    return (
        *corners,
        Stroke((_at(2, 0.22, 0.5), _at(2, 0.78, 0.5))),
        Stroke((_at(2, 0.5, 0.08), _at(2, 0.5, 0.92))),
        Dot(_at(2, 0.38, 0.5), 0.022, strong=True),
        Stroke((_at(2, 0.80, 0.66), _at(2, 0.95, 0.66)), arrow=True, strong=True),
    )


PLACING = Page(
    "How the probe is put on",
    (
        Drawing((*_front(), *_side(), *_target()), aspect=_ASPECT, height_share=0.34),
        Words(
            "1  The cable hangs free over the upper edge, the strap's weight behind the panel; nothing pulls at it.\n"
            "2  The opening lies flat on the glass, without pressing. Tilted, the probe reads the room too.\n"
            "3  The middle of the opening belongs on the cross: its lines stand out evenly on all four sides.\n"
            "4  An arrow on the screen says which way to move it, a small hollow square where it sat last time."
        ),
        Words("The card in the corner names each place. Put the probe there first, then press Return.", "soft"),
        Buttons((Item(_GO_ON, "Go on"),)),
    ),
    _GO_ON,
    (("Return, space, click", "goes on"), ("h at a placement", "shows this again"), ("Escape", "stops")),
    "lit",
)
"""Three pictures: from the front, from the side, the target; then a sentence for each."""
