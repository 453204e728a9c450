"""Checkpoints that were read and gave no light: a panel that is dead is told first, not left out."""

from __future__ import annotations

from collections.abc import Sequence

from panelwear.figures.evidence import Evidence
from panelwear.figures.left_out import in_words
from panelwear.telling.words import counted

BRIGHT_CODE = 128
"""From this drive level on a patch of any working panel gives light that any probe sees."""
_DEAD = "either the panel gave no light by then, or the probe saw none (covered, off its place, too slow for the dark)"


def without_light(checkpoints: Sequence[Evidence]) -> tuple[str, ...]:
    """Say of which checkpoints no reading shows light, or none can be used, a sentence each.

    Args:
        checkpoints: in any order; those where nothing was read, or nothing bright, are none of them.
    """
    return tuple(said for one in checkpoints if (said := _said(one)))


def _said(one: Evidence) -> str:
    was_read = f"'{one.name}' ({one.circumstances.use.words} of use) was read"
    if one.left_out and not len(one.raw):
        reasons = one.circumstances.left_out
        why = f": {_DEAD}" if max(reasons, key=lambda reason: reasons[reason], default="") == "no value" else ""
        return f"{was_read}, and none of its readings can be used ({in_words(reasons)}); it is not compared{why}."
    bright = [mean for mean in one.means if mean.code >= BRIGHT_CODE]
    if bright and all(one.is_dark(mean) for mean in bright):
        most = max(mean.Y for mean in bright)
        patches = counted(len(bright), "bright patch", "bright patches")
        dark = f"at most {most:.2g} cd/m², below what the probe can tell"
        return f"{was_read}, and none of {patches} shows light ({dark}): {_DEAD}."
    return ""
