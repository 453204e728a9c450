"""One row of ``readings.csv``: one reading, and what its columns mean. ``docs/csv.md`` prints the same list."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from panelwear.readings.columns import Column

FLAGS = ("ok", "low-light", "over-range", "not-settled", "disturbed", "retried", "typed-in", "limiter", "skipped",
         "scaled", "out-of-reach", "impossible", "other-meter", "implausible", "unexpected")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Row:
    """One reading as stored; ``None`` and empty text are missing. Field order is column order."""

    row: Annotated[int, Column("1", "Number of the row, from 1")]
    session: Annotated[int, Column("1", "Stretch of work inside the checkpoint, from 1", formerly="sitting")]
    visit: Annotated[int, Column("1", "Stay of the probe at one place, from 1; 0 before the first")]
    pair: Annotated[
        str, Column("", "Quadruple of zone and reference visits with the position in it", may_be_empty=True)
    ]
    time_utc: Annotated[str, Column("", "When the request was sent to the probe, UTC", datatype="dateTime")]
    monotonic_s: Annotated[float, Column("s", "The same moment on a clock that is never set back")]
    step: Annotated[int, Column("1", "Number of the step in the sequence")]
    patch: Annotated[str, Column("", "Key of the patch: group/place/hue/level/geometry")]
    purpose: Annotated[str, Column("", "What the patch is read for")]
    place: Annotated[
        str, Column("", "Where the probe sat: centre, thousandths of width and height, or a zone", may_be_empty=True)
    ]
    pattern: Annotated[str, Column("", "Name of the pattern")]
    red: Annotated[float, Column("1", "Drive level of red, 0 to 255; a fraction is a spatial mix")]
    green: Annotated[float, Column("1", "Drive level of green")]
    blue: Annotated[float, Column("1", "Drive level of blue")]
    background: Annotated[str, Column("1", "Drive levels of the background, red green blue")]
    rect_px: Annotated[str, Column("px", "Rectangle of the pattern: left top width height")]
    lit_share: Annotated[float, Column("1", "Share of the screen's area that is not background, 0 to 1")]
    target_cd_m2: Annotated[
        float | None, Column("cd/m²", "Luminance that was asked for; empty for patches asked for by drive level")
    ]
    level_basis: Annotated[
        str, Column("", "code: asked for by drive level; measured-response, assumed-response: asked for in light")
    ]
    repeat: Annotated[int, Column("1", "Number of the reading of this patch, from 1")]
    X_cd_m2: Annotated[
        float | None,
        Column(
            "cd/m²", "Tristimulus X, as the probe sent it, before any correction matrix; empty for luminance meters"
        ),
    ]
    Y_cd_m2: Annotated[
        float | None,
        Column("cd/m²", "Luminance, as the probe sent it, before any correction matrix; empty when the reading failed"),
    ]
    Z_cd_m2: Annotated[
        float | None,
        Column(
            "cd/m²", "Tristimulus Z, as the probe sent it, before any correction matrix; empty for luminance meters"
        ),
    ]
    x: Annotated[float | None, Column("1", "CIE 1931 chromaticity x, of the values above")]
    y: Annotated[float | None, Column("1", "CIE 1931 chromaticity y")]
    u_prime: Annotated[float | None, Column("1", "CIE 1976 chromaticity u'")]
    v_prime: Annotated[float | None, Column("1", "CIE 1976 chromaticity v'")]
    cct_K: Annotated[
        float | None, Column("K", "Correlated colour temperature (Ohno 2013); empty where it has no meaning")
    ]
    duv: Annotated[float | None, Column("1", "Distance from the Planckian locus in CIE 1960 u, v; positive above it")]
    integration_s: Annotated[float, Column("s", "Integration time as reported, else as requested")]
    settled_s: Annotated[float, Column("s", "From the last change of the screen's pixels to the request")]
    geometry_sha256: Annotated[str, Column("", "Digest of pattern, rectangles, background, screen")]
    frame_sha256: Annotated[str, Column("", "Digest of the pixels that were shown")]
    flags: Annotated[str, Column("", "What is the matter, separated by spaces; ok when nothing is")]
    note: Annotated[
        str, Column("", "What else is to be said, such as the reason of a failed reading", may_be_empty=True)
    ]
