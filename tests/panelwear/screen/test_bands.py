"""Bands of rows say the same as the whole raster."""

from __future__ import annotations

import hashlib
from itertools import pairwise

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

import patterns
from panelwear.screen.bands import bands, digest
from patterns.frame import Fill, Frame, Rect

W, H = 150, 170
code = st.one_of(st.integers(0, 255).map(float), st.floats(0, 255).map(lambda c: round(c * 4096) / 4096))
rgb = st.tuples(code, code, code)
rect = st.builds(Rect, st.integers(-20, W), st.integers(-20, H), st.integers(1, W), st.integers(1, H))


@given(rgb, st.lists(st.builds(Fill, rect, rgb), max_size=5))
def test_bands_put_together_are_the_raster(background: tuple[float, float, float], fills: list[Fill]) -> None:
    frame = Frame("made", W, H, background, Rect(0, 0, W, H), tuple(fills))
    whole = patterns.raster(frame)
    listed = list(bands(frame))
    rows = [band.block[np.arange(band.bottom - band.top) % len(band.block)] for band in listed]
    assert np.array_equal(np.concatenate(rows), whole)
    assert all(a.bottom == b.top for a, b in pairwise(listed))
    assert digest(frame) == hashlib.sha256(whole.tobytes()).hexdigest()


def test_a_whole_picture_is_hashed_as_it_is() -> None:
    frame = patterns.build("pixel-checker", 31, 17)
    assert digest(frame) == hashlib.sha256(patterns.raster(frame).tobytes()).hexdigest()
