"""Where there is no screen: the same list, and how each is done by command."""

from __future__ import annotations

from dataclasses import replace

from panelwear.start.facts import World
from panelwear.start.menu import NEXT_ENTRY, Entry, entries, first_entries, standing_words


def lines_of(world: World, why: str) -> list[str]:
    """Write what the start screen would offer.

    Args:
        world: what was looked up.
        why: why there is no start screen, in a sentence.
    """
    said = [why, "", "On a screen, 'panelwear' offers:", *_offered(first_entries(replace(world, ready=False)))]
    said += [f"  {remark}" for remark in world.remarks]
    if not world.panels:
        said += ["", "No panel is known yet; 'panelwear rehearse' tries the whole job on an invented one."]
    for panel in world.panels:
        said += ["", f"{panel.title}  ({panel.folder})"]
        if panel.readable:
            said.append(f"  {standing_words(panel)}")
        said.append(f"  next: {panel.next_step}")
        said += _offered(entries(panel), NEXT_ENTRY.get(panel.doing, ""))
    return said


def _offered(offered: tuple[Entry, ...], next_one: str = "") -> list[str]:
    there = [one for one in offered if one.command and not one.why_not]
    width = max(len(one.label) for one in there)
    return [
        f"  {'> ' if one.id == next_one else '  '}{one.label:<{width}}  {one.command}"
        for one in there
    ]  # fmt: skip
