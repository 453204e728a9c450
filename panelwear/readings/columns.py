"""The columns of ``readings.csv``: name, datatype, unit and meaning, in column order."""

from __future__ import annotations

from panelwear.readings.csvw import ColumnNote

_LEVEL_BASES = "code: asked for by drive code; measured-response, assumed-response: asked for in light"
_PROBE_UNIT = "as the probe sent it, before any correction matrix"

COLUMNS: tuple[ColumnNote, ...] = (
    ColumnNote("row", "integer", "1", "Number of the row, from 1", required=True),
    ColumnNote("session", "integer", "1", "Stretch of work inside the checkpoint, from 1", required=True),
    ColumnNote("visit", "integer", "1", "Stay of the probe at one place, from 1; 0 before the first", required=True),
    ColumnNote("pair", "string", "", "Quadruple of zone and reference visits with the position in it"),
    ColumnNote("time_utc", "dateTime", "", "When the request was sent to the probe, UTC", required=True),
    ColumnNote("monotonic_s", "number", "s", "The same moment on a clock that is never set back", required=True),
    ColumnNote("step", "integer", "1", "Number of the step in the sequence", required=True),
    ColumnNote("patch", "string", "", "Key of the patch: group/place/hue/level/geometry", required=True),
    ColumnNote("purpose", "string", "", "What the patch is read for", required=True),
    ColumnNote("place", "string", "", "Where the probe sat: centre, thousandths of width and height, or a zone"),
    ColumnNote("pattern", "string", "", "Name of the pattern", required=True),
    ColumnNote("red", "number", "1", "Drive code of red, 0 to 255; a fraction is a spatial mix", required=True),
    ColumnNote("green", "number", "1", "Drive code of green", required=True),
    ColumnNote("blue", "number", "1", "Drive code of blue", required=True),
    ColumnNote("background", "string", "1", "Drive codes of the background, red green blue", required=True),
    ColumnNote("rect_px", "string", "px", "Rectangle of the pattern: left top width height", required=True),
    ColumnNote("lit_share", "number", "1", "Share of the screen's area that is not background, 0 to 1", required=True),
    ColumnNote("target_cd_m2", "number", "cd/m²", "Luminance that was asked for; empty for patches asked for by code"),
    ColumnNote("level_basis", "string", "", _LEVEL_BASES, required=True),
    ColumnNote("repeat", "integer", "1", "Number of the reading of this patch, from 1", required=True),
    ColumnNote("X_cd_m2", "number", "cd/m²", f"Tristimulus X, {_PROBE_UNIT}; empty for luminance meters"),
    ColumnNote("Y_cd_m2", "number", "cd/m²", f"Luminance, {_PROBE_UNIT}; empty when the reading failed"),
    ColumnNote("Z_cd_m2", "number", "cd/m²", f"Tristimulus Z, {_PROBE_UNIT}; empty for luminance meters"),
    ColumnNote("x", "number", "1", "CIE 1931 chromaticity x, of the values above"),
    ColumnNote("y", "number", "1", "CIE 1931 chromaticity y"),
    ColumnNote("u_prime", "number", "1", "CIE 1976 chromaticity u'"),
    ColumnNote("v_prime", "number", "1", "CIE 1976 chromaticity v'"),
    ColumnNote("cct_K", "number", "K", "Correlated colour temperature (Ohno 2013); empty where it has no meaning"),
    ColumnNote("duv", "number", "1", "Distance from the Planckian locus in CIE 1960 u, v; positive above it"),
    ColumnNote("integration_s", "number", "s", "Integration time as reported, else as requested", required=True),
    ColumnNote("settled_s", "number", "s", "From the last change of the screen's pixels to the request", required=True),
    ColumnNote("geometry_sha256", "string", "", "Digest of pattern, rectangles, background, screen", required=True),
    ColumnNote("frame_sha256", "string", "", "Digest of the pixels that were shown", required=True),
    ColumnNote("flags", "string", "", "What is the matter, separated by spaces; ok when nothing is", required=True),
    ColumnNote("note", "string", "", "What else is to be said, such as the reason of a failed reading"),
)

FLAGS = (
    "ok",
    "low-light",
    "over-range",
    "not-settled",
    "disturbed",
    "retried",
    "typed-in",
    "limiter",
    "skipped",
    "scaled",
    "out-of-reach",
)
