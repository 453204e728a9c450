"""Choosing a folder: what lies in it as rows, with keys and mouse."""

from __future__ import annotations

from dataclasses import dataclass

from panelwear.screen.contract import ScreenEvent
from panelwear.screen.page import Item, Items, Page, Part, Words
from panelwear.start.facts import Listing, World
from panelwear.start.state import ListFolder, OpenFolder, State

HERE, UP = "here:", "up:"
"""Ids that are no path of a folder below."""


@dataclass(frozen=True, slots=True)
class Chooser:
    """The panel folder to open is looked for."""

    listing: Listing
    chosen: str = ""

    def page(self, world: World) -> Page:
        """Say what is to be seen."""
        found = self.listing
        parts: list[Part] = [Words(found.path, "soft")]
        if found.fault:
            parts.append(Words(found.fault, "warning"))
        rows = [Item(HERE, "Open this panel folder", mark="panel")] if found.is_panel else []
        rows += [Item(UP, "One folder up", note=found.parent)] if found.parent else []
        rows += [Item(path, name, mark="panel" if is_panel else "") for name, path, is_panel in found.folders]
        if not found.folders and not found.fault:
            parts.append(Words("No folder lies in here.", "soft"))
        chosen = self.chosen if any(row.id == self.chosen for row in rows) else (rows[0].id if rows else "")
        return Page("Open a panel folder", (*parts, Items(tuple(rows))), chosen=chosen)

    def own(self, event: ScreenEvent) -> Chooser | None:
        """Nothing but choosing."""
        return None

    def take(self, state: State, row: str) -> State:
        """Go into a folder, up, or open the panel folder."""
        if row == HERE:
            return state.wishing(OpenFolder(self.listing.path))
        if row == UP:
            return state.wishing(ListFolder(self.listing.parent))
        if any(path == row and is_panel for _, path, is_panel in self.listing.folders):
            return state.wishing(OpenFolder(row))
        return state.wishing(ListFolder(row))


def with_listing(state: State, listing: Listing) -> State:
    """Show what lies in a folder: on the chooser's page where it is on, else on a new one."""
    chooser = Chooser(listing)
    return state.instead(chooser) if isinstance(state.view, Chooser) else state.over(chooser)
