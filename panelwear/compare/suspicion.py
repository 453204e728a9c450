"""What may be no wear although it looks like it: a setting that was changed, a panel that was still warming up.

Nothing here is proved by the readings; it is said beside the verdict, with what to look at.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Protocol

from panelwear.compare.change_table import JudgedChange, verdicts_of
from panelwear.compare.subpixels import SubPixels
from panelwear.figures.circumstances import Circumstances
from panelwear.figures.flags import FEW_SHARE
from panelwear.panel.drift import Drift
from panelwear.uncertainty.coverage import expanded
from panelwear.uncertainty.estimate import Estimate
from panelwear.uncertainty.formatting import with_uncertainty

STILL_WARMING = 0.005
"""Drift inside one session, as ln, that a warm panel does not show (common practice, no source)."""


class Read(Protocol):
    """What must be known of a checkpoint."""

    @property
    def name(self) -> str: ...  # noqa: D102
    @property
    def drift(self) -> Drift: ...  # noqa: D102
    @property
    def circumstances(self) -> Circumstances: ...  # noqa: D102


def suspicions(
    rows: Sequence[JudgedChange], sub_pixels: SubPixels | None, before: Read, after: Read, *, same_probe: bool = True
) -> tuple[str, ...]:
    """Say in a sentence each what else may explain a change.

    Args:
        rows: the change table.
        sub_pixels: retention of the channels, where the primaries pair.
        before: the earlier checkpoint.
        after: the later one.
        same_probe: whether one probe read both; a setting and a probe's scale cannot be told apart.
    """
    verdicts = verdicts_of(rows)
    return (*_setting(rows, verdicts, sub_pixels, same_probe), *_warming(verdicts, before, after))


def _setting(
    rows: Sequence[JudgedChange], verdicts: Mapping[str, str], sub_pixels: SubPixels | None, same_probe: bool
) -> Iterator[str]:
    white = next((row for row in rows if row.name == "white.Y"), None)
    if white is None or white.judged.verdict != "changed" or sub_pixels is None or not _alike(sub_pixels, verdicts):
        return
    zones = [row for row in rows if row.name.startswith("zone/") and not row.under]
    if any(row.judged.verdict == "changed" for row in zones):
        return
    still = "while no zone moved against its reference" if zones else "and no zone was read"
    probe = "" if same_probe else ", another probe's scale"
    went = "up" if white.change.step.value > 0 else "down"
    step = with_uncertainty(white.change.step, signed=True)
    yield (
        f"Red, green, blue and white went {went} alike (white {step}) {still}: a setting may have changed (brightness?)"
        f"{probe} or the whole panel wore evenly, and readings cannot tell which; look at the panel's brightness "
        "before this counts as wear."
    )


def _alike(sub_pixels: SubPixels, verdicts: Mapping[str, str]) -> bool:
    """Tell whether all channels moved, the same way, and none against the others."""
    moved = [c.retention.value - 100 for c in sub_pixels.channels]
    told = all(abs(m) > expanded(c.retention) for m, c in zip(moved, sub_pixels.channels, strict=True))
    one_way = len({math.copysign(1, m) for m in moved}) == 1
    return told and one_way and verdicts.get("balance") != "changed"


def _warming(verdicts: Mapping[str, str], before: Read, after: Read) -> Iterator[str]:
    touched = [name for name in ("white.Y", "white.uv_prime", "balance") if verdicts.get(name) == "changed"]
    if not touched:
        return
    for read in (before, after):
        why = _not_warm(read)
        if why:
            yield (
                f"At {read.name} {why}: the panel may not have been warm, and blue warms up differently from red, so "
                "luminance, white point and channels against each other may carry that; zones against their "
                "references hardly do."
            )


def _not_warm(read: Read) -> str:
    """Say what tells that a panel was not warm; empty where nothing does."""
    moved, flagged = _drifted(read.drift), read.circumstances.flagged.get("not-settled")
    if moved is not None:
        return f"the reference patch drifted by {with_uncertainty(moved, signed=True)} while it was read"
    if flagged is not None and flagged.share >= FEW_SHARE:
        return f"readings were taken before the panel was steady ({flagged.words})"
    return ""


def without_wear(verdicts: Mapping[str, str]) -> dict[str, str]:
    """Return verdicts as they may be told where something else may explain them: no channel is named for wear."""
    return {name: verdict for name, verdict in verdicts.items() if name not in {"balance", "white.cct"}}


def _drifted(drift: Drift) -> Estimate | None:
    """Return by how much the longest segment drifted, in %, where that is significant and too much."""
    fit = drift.longest
    if fit is None:
        return None
    moved, u, dof = fit.over_all()
    found = Estimate("drift", 100 * moved, "%", 100 * u, dof)
    return found if abs(moved) > STILL_WARMING and abs(found.value) > expanded(found) else None
