"""Where there is no screen: the same list, and how each is done by command."""

from __future__ import annotations

from dataclasses import replace

from panelwear.start.facts import World
from panelwear.start.menu import NEXT_ENTRY, Entry, entries, first_entries, standing_words
from panelwear.telling.parts import EMPTY, Column, Part, Prose, grid, paragraphs


def parts_of(world: World, why: str) -> list[Part]:
    """Say what the start screen would offer.

    Args:
        world: what was looked up.
        why: why there is no start screen, in a sentence.
    """
    said: list[Part] = [Prose(why), EMPTY, Prose("On a screen, 'panelwear' offers:")]
    said.append(_offered(first_entries(replace(world, ready=False))))
    said += paragraphs(*world.remarks, indent=2)
    if not world.panels:
        said += [EMPTY, Prose("No panel is known yet; 'panelwear rehearse' tries the whole job on an invented one.")]
    for panel in world.panels:
        said += [EMPTY, Prose(f"{panel.title}  ({panel.folder})")]
        said += paragraphs(standing_words(panel), indent=2) if panel.readable else []
        said += [Prose(f"next: {panel.next_step}", 2), _offered(entries(panel), NEXT_ENTRY.get(panel.doing, ""))]
    return said


def _offered(offered: tuple[Entry, ...], next_one: str = "") -> Part:
    there = [one for one in offered if one.command and not one.why_not]
    rows = [(">" if one.id == next_one else "", one.label, one.command) for one in there]
    return grid((Column(at_least=1, breaks=False), Column(breaks=False), Column()), rows, 2)
