"""The thin loop around the editor: events in, what changed onto the screen, wishes carried out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from groundwork.clock import Clock
from panelwear.errors import PanelwearError, Stopped
from panelwear.folder.zone_blocks import Wanted
from panelwear.folder.zone_file import ZoneFile, matched, read_zone_file, with_zones, write_beside, write_zones
from panelwear.screen.contract import Screen
from panelwear.screen.desk import Desk
from panelwear.screen.page import Page
from panelwear.screen.waiting import moments
from panelwear.telling.words import counted
from panelwear.zoning.costs import Read, costs_of
from panelwear.zoning.editor import Editor, begun, leaving
from panelwear.zoning.plan import plan_of, zones_of
from panelwear.zoning.questions import asked_about_change, asked_about_cost, page_of, refused, stored
from panelwear.zoning.step import step
from panelwear.zoning.view import Surroundings, clear_of, desk_of


class Drawing:
    """One session of drawing zones on a panel."""

    def __init__(self, screen: Screen, clock: Clock, file: ZoneFile, around: Surroundings, read: Read) -> None:
        self.state = clear_of(begun(plan_of(file.zones), (file.panel.width_px, file.panel.height_px)))
        self.told: list[str] = []
        """What was stored, for the terminal."""
        self._screen = screen
        self._clock = clock
        self._file = file
        self._around = around
        self._read = read
        self._ids = [zone.id for zone in self.state.plan.zones]
        """Which zone of the plan each block of the file is."""
        self._up: Desk | Page | None = None

    def run(self) -> None:
        """Draw until the person leaves."""
        self._put_up()
        for events in moments(self._screen, self._clock, look=lambda screen: screen.poll()):
            for event in events:
                self.state = step(self.state, event, self._screen.row_at)
                self._fulfil()
                if self.state.wish == "leave":
                    return
            self._put_up()
            if self.state.wish == "leave":
                return

    def _put_up(self) -> None:
        wanted = page_of(self.state, self._costs()) if self.state.asking else desk_of(self.state, self._around)
        if wanted == self._up:
            return
        try:
            if isinstance(wanted, Page):
                self._screen.page(wanted)
            else:
                self._screen.desk(wanted)
            self._up = wanted
        except Stopped:
            # Escape in the middle of a fade, after which the screen is black: here too nothing is lost unasked.
            self.state, self._up = leaving(replace(self.state, asking="", wish="")), None
            if self.state.wish != "leave":
                self._put_up()

    def _costs(self) -> tuple[str, ...]:
        return costs_of(self.state.saved, self.state.plan, self._read)

    def _fulfil(self) -> None:
        wish = self.state.wish
        if wish == "save" and self._costs():
            self.state = asked_about_cost(self.state)
        elif wish in {"save", "save-anyway", "save-over"}:
            self._try(self._saved)
        elif wish == "save-beside":
            self._try(self._saved_beside)

    def _try(self, save: Callable[[], Editor]) -> None:
        try:
            self.state = save()
        except PanelwearError as error:
            self.state = refused(self.state, str(error))

    def _wanted(self) -> Wanted:
        number = {id_: n for n, id_ in enumerate(self._ids)}
        return [(number.get(id_), zone) for id_, zone in zones_of(self.state.plan)]

    def _saved(self) -> Editor:
        """Save, or ask where the file has other zones than it had."""
        state = self.state
        now = read_zone_file(self._file.path.parent)
        same_panel = (now.panel.width_px, now.panel.height_px) == state.panel
        wanted, told = self._wanted(), f"Saved: panel.toml has {counted(len(state.plan.zones), 'zone')}."
        if now.raw != self._file.raw:
            if now.zones == self._file.zones and same_panel:
                told += " Something else in it was changed meanwhile; that is kept."
            elif state.wish != "save-over":
                return asked_about_change(state)
            else:
                told += f" As it was before: {write_beside(now, now.raw, 'before').name}."
                wanted = matched([zone for _, zone in wanted], now.zones)
        self._file = write_zones(now, wanted)
        self._ids = [zone.id for zone in state.plan.zones]
        self.told.append(told)
        return stored(state, told)

    def _saved_beside(self) -> Editor:
        """Store what was drawn in a file of its own; ``panel.toml`` is not touched."""
        path = write_beside(self._file, with_zones(self._file, self._wanted()), "zones")
        told = f"Stored beside panel.toml, which stays as it is: {path.name}."
        self.told.append(told)
        return stored(self.state, told)
