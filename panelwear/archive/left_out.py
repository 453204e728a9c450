"""Which patches of a checkpoint a table of patches does not hold, and why: how many, in a sentence each."""

from __future__ import annotations

from collections import Counter

from panelwear.figures.evidence import Evidence
from panelwear.figures.means import SIDE_PURPOSES
from panelwear.readings.by_column import ByColumn
from panelwear.telling.words import counted, verb

NAMED = 12
"""Patches that are named one by one."""


def left_out(rows: ByColumn, evidence: Evidence) -> tuple[str, ...]:
    """Say which patches that were read are not among those that figures are made of; nothing where all are.

    Args:
        rows: every reading of the checkpoint as it was stored.
        evidence: of the same checkpoint.
    """
    if not len(rows):
        return ()
    purposes: dict[str, set[str]] = {}
    for patch, purpose in zip(rows.texts["patch"].tolist(), rows.texts["purpose"].tolist(), strict=True):
        purposes.setdefault(patch, set()).add(purpose)
    here = {mean.key for mean in evidence.means}
    missing = {patch: why for patch, why in purposes.items() if patch not in here}
    aside = {patch: why for patch, why in missing.items() if why <= {*SIDE_PURPOSES}}
    unusable = [patch for patch in missing if patch not in aside]
    many = counted(len(purposes), "patch", "patches")
    said = []
    if aside:
        each = Counter(", ".join(p for p in SIDE_PURPOSES if p in why) for why in aside.values())
        told = "; ".join(f"{count:,} of {why}" for why, count in each.items())
        said.append(
            f"{len(aside):,} of {many} {verb(len(aside), 'is')} left out, since they were read to prepare the run "
            f"or for the room's light and no figure is made of them: {told}."
        )
    if unusable:
        names = ", ".join(unusable[:NAMED]) + (f" and {len(unusable) - NAMED:,} more" if len(unusable) > NAMED else "")
        count = len(unusable)
        said.append(f"{count:,} of {many} {verb(count, 'is')} left out for want of a usable reading: {names}.")
    return tuple(said)
