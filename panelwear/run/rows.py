"""From a reading of a patch to a row of the CSV."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from panelwear.colorimetry.plausible import IMPOSSIBLE, why_impossible
from panelwear.panel.resolve import Resolved
from panelwear.readings.row import Row
from panelwear.screen.contract import Shown
from probe_io.reading import Reading
from sequences.model import Patch


@dataclass(frozen=True, slots=True)
class RowDraft:
    """Everything of a row that a step knows; the engine adds number, session, step and visit."""

    patch: Patch
    resolved: Resolved
    shown: Shown
    reading: Reading
    time_utc: str
    repeat: int
    pair: str = ""
    purpose: str = ""
    """Overrides the patch's own purpose (trial readings, the probe's floor)."""
    flags: tuple[str, ...] = ()
    note: str = ""


def flags_text(flags: tuple[str, ...]) -> str:
    """Join flags in order, each once; ``ok`` stands alone."""
    unique = tuple(dict.fromkeys(f for f in flags if f and f != "ok"))
    return " ".join(unique) or "ok"


def _number(value: float) -> float:
    return float(value)


def colour_of(reading: Reading, floor_cd_m2: float) -> dict[str, float | None]:
    """Chromaticity of one reading, for people with spreadsheets; the program recomputes from X, Y, Z."""
    nothing: dict[str, float | None] = dict.fromkeys(("x", "y", "u_prime", "v_prime", "cct_K", "duv"))
    X, Y, Z = reading.X_cd_m2, reading.Y_cd_m2, reading.Z_cd_m2
    if X is None or Y is None or Z is None or min(X, Z) < 0 or Y <= 0 or why_impossible(X, Y, Z):
        return nothing  # the noise of a black reading has no colour
    from panelwear.colorimetry.cct import cct_duv_one

    total, prime = X + Y + Z, X + 15 * Y + 3 * Z
    found = cct_duv_one(X, Y, Z, floor_cd_m2)
    colour: dict[str, float | None] = {
        "x": round(X / total, 6),
        "y": round(Y / total, 6),
        "u_prime": round(4 * X / prime, 6),
        "v_prime": round(9 * Y / prime, 6),
        "cct_K": None,
        "duv": None,
    }
    if found is not None:
        colour |= {"cct_K": round(found[0], 1), "duv": round(found[1], 6)}
    return colour


def make_row(
    draft: RowDraft,
    *,
    row: int,
    session: int,
    visit: int,
    step: int,
    scaled: bool,
    floor_cd_m2: float,
    other_meter: bool = False,
) -> Row:
    """Fill a row in; the numbers of the probe go in unrounded."""
    frame, reading = draft.shown.frame, draft.reading
    codes = draft.resolved.codes
    colour: dict[str, Any] = colour_of(reading, floor_cd_m2)
    impossible = why_impossible(reading.X_cd_m2, reading.Y_cd_m2, reading.Z_cd_m2)
    said = [*draft.flags, *reading.flags, *([IMPOSSIBLE] if impossible else [])]
    if scaled:
        said.append("scaled")
    if other_meter:
        said.append("other-meter")
    if draft.resolved.out_of_reach:
        said.append("out-of-reach")
    if reading.Y_cd_m2 is not None and floor_cd_m2 > 0 and reading.Y_cd_m2 < floor_cd_m2:
        said.append("low-light")
    return Row(
        row=row,
        session=session,
        visit=visit,
        pair=draft.pair,
        time_utc=draft.time_utc,
        monotonic_s=round(reading.requested_at_s, 6),
        step=step,
        patch=draft.patch.key,
        purpose=draft.purpose or draft.patch.purpose,
        place=draft.patch.place.name,
        pattern=frame.pattern,
        red=_number(codes[0]),
        green=_number(codes[1]),
        blue=_number(codes[2]),
        background=" ".join(f"{c:g}" for c in frame.background),
        rect_px=f"{frame.rect.x} {frame.rect.y} {frame.rect.w} {frame.rect.h}",
        lit_share=round(frame.lit_share, 9),
        target_cd_m2=draft.resolved.target_cd_m2,
        level_basis=draft.resolved.level_basis,
        repeat=draft.repeat,
        X_cd_m2=reading.X_cd_m2,
        Y_cd_m2=reading.Y_cd_m2,
        Z_cd_m2=reading.Z_cd_m2,
        **colour,
        integration_s=reading.integration_s,
        settled_s=round(reading.requested_at_s - draft.shown.at_s, 6),
        geometry_sha256=frame.geometry_sha256(),
        frame_sha256=draft.shown.frame_sha256,
        flags=flags_text(tuple(said)),
        note="; ".join(part for part in (impossible, reading.note, draft.note) if part),
    )
