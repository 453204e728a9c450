"""What a change of zones costs the readings there are: said before anything is saved."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from panelwear.errors import PanelwearError
from panelwear.folder.checkpoint import Checkpoint
from panelwear.telling.words import counted
from panelwear.zoning.plan import Plan


@dataclass(frozen=True, slots=True)
class Read:
    """Which zones were read at which checkpoints."""

    checkpoints: Mapping[str, tuple[str, ...]]
    """By name of a zone."""
    unknown: tuple[str, ...] = ()
    """Checkpoints that cannot be read; which zones they hold is not known."""


def read_zones(checkpoints: Sequence[Checkpoint], unreadable: Sequence[str], names: Sequence[str]) -> Read:
    """Look through all checkpoints.

    Args:
        checkpoints: those that can be loaded.
        unreadable: names of those that cannot.
        names: of the zones.
    """
    found: dict[str, list[str]] = {}
    unknown = list(unreadable)
    for checkpoint in checkpoints:
        try:
            places = {*checkpoint.columns().texts["place"].tolist()}
        except PanelwearError:
            unknown.append(checkpoint.name)
            continue
        for name in names:
            if name in places:
                found.setdefault(name, []).append(checkpoint.name)
    return Read({name: tuple(where) for name, where in found.items()}, tuple(unknown))


def costs_of(saved: Plan, plan: Plan, read: Read) -> tuple[str, ...]:
    """Say, a sentence a zone, what saving does to readings there are; empty: nothing."""
    said = []
    for was in saved.zones:
        where = read.checkpoints.get(was.name, ())
        now = plan.by_id(was.id)
        if not where:
            continue
        told = f"{was.name} was read at {counted(len(where), 'checkpoint')}"
        if now is None:
            said.append(f"{told} and is taken away: no later reading pairs with those.")
        elif now.name != was.name:
            said.append(f"{told} and is called {now.name} now: readings pair by name, so a new history begins.")
        elif replace(now, reference=None) != replace(was, reference=None):
            said.append(
                f"{told} at its old place: readings before and after are of other pixels and do not belong together. "
                "Give it another name to begin a new history, or take the change back."
            )
        elif _reference(plan, now.reference) != _reference(saved, was.reference):
            said.append(f"{told} against another reference: its contrasts before and after do not belong together.")
    if said and read.unknown:
        said.append(f"Not looked at, for they cannot be read: {', '.join(read.unknown)}.")
    return tuple(said)


def _reference(plan: Plan, wanted: int | None) -> str:
    found = plan.by_id(wanted)
    return "" if found is None else found.name
