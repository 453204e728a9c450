"""A card on every field of the walk and of an inspection, as an eye of sixty years sees it: glare lies over it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from panelwear.panel.assumed import assumed_response
from panelwear.panel.resolve import LevelResolver
from panelwear.screen.card import DARK_FIELD_CD_M2, DIM_CD_M2, draw_card
from panelwear.screen.contract import Card
from panelwear.screen.letters import forget_fonts
from panelwear.screen.light import LINEAR, LUMINANCE_SHARES
from panelwear.screen.paint import paint
from panelwear.screen.palette import contrast
from patterns import build
from patterns.frame import Frame
from sequences import expand, reader
from sequences.model import Hold, PanelFacts, Read, Zone
from tests.panelwear.byeye.eye import BADGE, CHART

pygame: Any = pytest.importorskip("pygame")
SIZE = (640, 400)
PEAK = 250.0
ZONES: tuple[Zone, ...] = (CHART, BADGE)
CARD = Card(("left, right: the next field", "H: this card"), title="Keys")
CORNERS = ("bottom-left", "top-right", "centre")
LEAST = 3.0
"""Contrast of large text: WCAG 2.2, 1.4.3."""
BY_HAND = 7.0
"""Enhanced contrast of text: WCAG 2.2, 1.4.6."""
VEIL_SHARE = 0.0191 * np.log(30 / 3) * (1 + (60 / 70) ** 4)
"""Veiling light in the middle of a card, of the field's mean. CIE 146 (from memory): 10 / angle² for each lux at the
eye, times 1 + (age / 70)⁴; summed over a field from 3 to 30 degrees away, 10 · 2π / 57.3² · ln 10 = 0.044 of it."""
ROOM_CD_M2 = 2.5
"""What a glass that scatters a twenty-fifth shows of a room of 200 lx, lit to handle a probe."""


@pytest.fixture(autouse=True)
def fonts() -> Iterator[None]:
    forget_fonts()
    yield
    forget_fonts()


def frames_of(sequence: str) -> dict[str, Frame]:
    """Every picture a sequence shows, once."""
    facts = PanelFacts(*SIZE, (320.0, 200.0), zones=ZONES, peak_cd_m2=PEAK)
    steps = expand.expand(reader.parse(reader.find(sequence).read_bytes(), sequence), facts, 1)
    resolver = LevelResolver(assumed_response({"kind": "power", "gamma": 2.2, "peak_cd_m2": PEAK}))
    patches = {step.patch.key: step.patch for step in steps if isinstance(step, Hold | Read)}
    return {
        key: build(
            patch.pattern,
            *SIZE,
            codes=resolver.resolve(patch).codes,
            background=patch.background,
            **dict(patch.parameters),
        )
        for key, patch in patches.items()
    }


def light(surface: Any) -> np.ndarray:
    return np.asarray(LINEAR[pygame.surfarray.array3d(surface)] @ LUMINANCE_SHARES * PEAK)


def seen(frame: Frame, card: Card) -> tuple[float, float, float]:
    """Text, ground, and veiling light of a card over a frame, in cd/m²."""
    surface = pygame.Surface(SIZE, depth=32)
    paint(surface, frame)
    mean = float(light(surface).mean())
    x, y, w, h = draw_card(surface, card, PEAK)
    drawn = light(surface)[x : x + w, y : y + h]
    return float(drawn.max()), float(np.median(drawn)), VEIL_SHARE * mean


@pytest.mark.parametrize("sequence", ["by-eye", "checkpoint"])
def test_a_card_can_be_read_on_every_field_and_stays_dim_on_dark_ones(sequence: str) -> None:
    frames = frames_of(sequence)
    assert len(frames) > 10
    for key, frame in frames.items():
        for corner in CORNERS:
            text, ground, veil = seen(frame, replace(CARD, corner=corner))
            assert contrast(text, ground, veil) >= LEAST, (key, corner, text, ground, veil)
            if frame.pixels is None and veil / VEIL_SHARE < DARK_FIELD_CD_M2 and not frame.fills:
                assert text <= DIM_CD_M2, (key, corner)


@pytest.mark.parametrize("sequence", ["by-eye", "checkpoint"])
def test_a_card_for_the_hand_can_be_read_with_the_room_lit(sequence: str) -> None:
    for key, frame in frames_of(sequence).items():
        text, ground, veil = seen(frame, replace(CARD, by_hand=True))
        dark = veil / VEIL_SHARE < DARK_FIELD_CD_M2
        assert contrast(text, ground, veil + ROOM_CD_M2) >= (BY_HAND if dark else LEAST), (key, text, ground, veil)
