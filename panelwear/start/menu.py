"""The first page and a panel's page: what there is, what comes next, and everything one can do from there."""

from __future__ import annotations

import shlex
from collections.abc import Callable
from dataclasses import dataclass

from panelwear.screen.contract import ScreenEvent
from panelwear.screen.page import Item, Items, Page, Part, Words
from panelwear.start.facts import PanelFacts, World
from panelwear.start.forecast_form import forecast_form
from panelwear.start.forms import (
    export_form,
    look_form,
    measuring_form,
    new_panel_form,
    rehearsal_form,
    resume_form,
    shoot_form,
)
from panelwear.start.state import Forget, ListFolder, Run, State, View
from panelwear.start.told import Confirm
from panelwear.start.usage_form import usage_form
from panelwear.telling.words import with_capital

NEW, OPEN, REHEARSE = "new:", "open:", "rehearse:"
LEAST_CLOSED = 2
"""Checkpoints that must be closed before anything is foretold."""
NEXT_ENTRY = {"inspect": "inspect", "resume": "resume", "shoot": "shoot", "close": "close", "mend": "check",
              "gone": "forget", "unread": "check", "wait": "status"}  # fmt: skip
"""Which entry does what ``panelwear status`` says is next."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that can be done; the same on the start screen and where there is no screen."""

    id: str
    label: str
    note: str
    command: str
    """How it is done by command."""
    why_not: str = ""
    """Why it cannot be done now; empty: it can."""


def first_entries(world: World) -> tuple[Entry, ...]:
    """Return what can be done beside opening a panel that is known."""
    no_monitor = "" if world.monitors or not world.ready else "no monitor was found"
    return (
        Entry(NEW, "New panel", "a folder for one display: name, size, pixels", "panelwear new DIR", no_monitor),
        Entry(OPEN, "Open a panel folder", "made earlier, or from elsewhere", "panelwear status DIR"),
        Entry(REHEARSE, "Rehearsal", "the whole job on an invented panel, without light", "panelwear rehearse"),
    )


def entries(panel: PanelFacts) -> tuple[Entry, ...]:
    """Return what can be done with a panel."""
    here = shlex.quote(panel.folder)
    if not panel.readable:
        return (
            Entry("check", "Say what is wrong", "every fault of its files", f"panelwear check {here}"),
            Entry("forget", "Take it off this list", "nothing on the disk is touched", ""),
        )
    none = "" if panel.readings or panel.maps else "nothing has been read yet"
    unread = "" if panel.readings else "nothing has been read yet"
    photos = f"{panel.folder}/{panel.photos or 'checkpoints/…/photos'}"
    no_photos = "" if panel.photos else "copy them into photos/ of the newest checkpoint first"
    left = panel.unfinished or panel.unfinished_shoot
    too_few = unread or ("" if panel.closed >= LEAST_CLOSED else "two closed checkpoints are needed")
    nothing_open = "" if panel.open_name else "no checkpoint is open"
    return (
        Entry("zones", "Zones", "draw what you want to watch on the panel itself", f"panelwear zones {here}"),
        Entry("look", "By-eye check", "see it, mark it, measure it by matching; before anything bright",
              f"panelwear look {here} --hours H"),
        Entry("spot", "Spot", "white point and peak at the centre, two minutes of reading",
              f"panelwear spot {here} --hours H"),
        Entry("inspect", "Inspection", "a whole sequence: patches, visits of the probe",
              f"panelwear inspect {here} --hours H"),
        Entry("shoot", "Photograph the panel", "fields for a camera, whose pictures become a map of wear",
              f"panelwear camera shoot {here} --hours H"),
        Entry("read", "Read the photographs", "they become maps of light; the photographs are not changed",
              f"panelwear camera read {here} {shlex.quote(photos)}", no_photos),
        Entry("usage", "What the panel shows", "hours a day, brightness, content by zone, and the dose of light",
              f"panelwear usage {here}"),
        Entry("resume", "Go on with what was interrupted", left, f"panelwear resume {here}",
              "" if left else "nothing was interrupted"),
        Entry("close", "Close the checkpoint", f"{panel.open_name}: never edited again", f"panelwear close {here}",
              nothing_open),
        Entry("compare", "Compare", "what changed, and how sure that is", f"panelwear compare {here}", none),
        Entry("forecast", "Forecast", "when wear will matter, used so or half as much", f"panelwear forecast {here}",
              too_few),
        Entry("report", "Report", "one page for the browser, to send to anyone", f"panelwear report {here}", none),
        Entry("export", "Export", "files for other programs: text, Parquet, a spreadsheet", f"panelwear export {here}",
              none),
        Entry("status", "All checkpoints", "hours, sessions, readings", f"panelwear status {here}"),
        Entry("check", "Check the files", "every fault at once", f"panelwear check {here}"),
    )  # fmt: skip


def standing_words(panel: PanelFacts) -> str:
    """Say in one line where a panel stands."""
    if not panel.readable:
        return ""
    hours = panel.hours or ("" if panel.last else "no checkpoint yet")
    parts = (hours, panel.last, f"open: {panel.open_name}" if panel.open_name else "")
    return "; ".join(part for part in parts if part)


def _rows(offered: tuple[Entry, ...], next_one: str = "") -> tuple[Item, ...]:
    return tuple(
        Item(one.id, one.label, note=one.why_not or one.note, enabled=not one.why_not,
             mark="next" if one.id == next_one and not one.why_not else "")
        for one in offered
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class First:
    """The first page: panels known, and how to come by others."""

    chosen: str = ""

    def page(self, world: World) -> Page:
        """Say what is to be seen."""
        panels = tuple(
            Item(one.folder, one.title, value=standing_words(one), note=f"next: {one.next_step}")
            for one in world.panels
        )
        parts: list[Part] = []
        if not world.ready:
            parts.append(Words("Looking at the panels.", "soft"))
        elif not panels:
            parts.append(Words("No panel is known yet. Make one, open a folder, or rehearse first."))
        parts += [Words(remark, "warning") for remark in world.remarks]
        if panels:
            parts.append(Items(panels))
        parts.append(Items(_rows(first_entries(world))))
        rows = [item.id for part in parts if isinstance(part, Items) for item in part.items if item.enabled]
        chosen = self.chosen if self.chosen in rows else rows[0]
        return Page("panelwear", tuple(parts), chosen=chosen,
                    keys=(("Return, click", "take"), ("Escape", "leave"), ("h", "all keys")))  # fmt: skip

    def own(self, event: ScreenEvent) -> First | None:
        """Nothing but choosing."""
        return None

    def take(self, state: State, row: str) -> State:
        """Open a panel's page, a form, the chooser."""
        world = state.world
        if row == NEW:
            return state.over(new_panel_form(world))
        if row == OPEN:
            return state.wishing(ListFolder(""))
        if row == REHEARSE:
            return state.over(rehearsal_form(world))
        return state.over(PanelPage(row))


@dataclass(frozen=True, slots=True)
class PanelPage:
    """Everything that can be done with one panel."""

    folder: str
    chosen: str = ""

    def page(self, world: World) -> Page:
        """Say what is to be seen."""
        panel = world.panel(self.folder)
        if not world.ready:  # what was known of it is no longer so, and nothing is to be begun on it
            return Page(panel.name or "Panel", (Words("Looking at it.", "soft"),))
        offered = entries(panel)
        next_one = NEXT_ENTRY.get(panel.doing, "")
        rows = _rows(offered, next_one)
        ready = [row.id for row in rows if row.enabled]
        chosen = self.chosen if self.chosen in ready else next_one if next_one in ready else ready[0]
        size = f"{panel.width_px} x {panel.height_px} px; " if panel.width_px else ""
        parts = (
            Words(f"{size}{standing_words(panel)}" if panel.readable else panel.folder),
            Words(f"next: {panel.next_step}", "strong"),
            Items(rows),
        )
        return Page(panel.title, parts, chosen=chosen)

    def own(self, event: ScreenEvent) -> PanelPage | None:
        """Nothing but choosing."""
        return None

    def take(self, state: State, row: str) -> State:
        """Open the form of what was chosen, ask first, or run it at once."""
        panel, world = state.world.panel(self.folder), state.world
        if row == "forget":
            return state.back().wishing(Forget(panel.folder))
        opened = _OPENED.get(row)
        if opened is not None:
            return state.over(opened(panel, world))
        if row == "read":
            read = ("camera", "read", panel.folder, f"{panel.folder}/{panel.photos}")
            return state.wishing(Run(read, f"Photographs read: {panel.title}", on_screen=False, folder=panel.folder))
        title = {"compare": "Comparison", "report": "Report", "zones": "Zones", "status": "All checkpoints",
                 "check": "Check"}[row]  # fmt: skip
        record = ("--json",) if row == "compare" else ()
        return state.wishing(
            Run((row, panel.folder, *record), f"{title}: {panel.title}", on_screen=row == "zones", folder=panel.folder)
        )


def _confirm_close(panel: PanelFacts, world: World) -> Confirm:
    title = f"Close the checkpoint: {panel.title}"

    def run(*options: str) -> Run:
        return Run(("close", panel.folder, *options), title, on_screen=False, folder=panel.folder)

    words = [
        f"{panel.open_name} is sealed: its files are never edited again. What is mistyped can be amended beside them."
    ]
    if not (panel.unfinished or panel.unfinished_shoot):
        return Confirm(title, tuple(words), (("close", "Close it", run()),))
    if panel.unfinished:
        words.append(f"'{panel.unfinished}' was interrupted and could still be gone on with.")
    if panel.unfinished_shoot:
        words.append(f"{with_capital(panel.unfinished_shoot)}, and could still be gone on with.")
    return Confirm(title, tuple(words), (("close", "Close it as it is", run("--as-it-is")),))


def _resume(panel: PanelFacts, world: World) -> View:
    if panel.unfinished:
        return resume_form(panel, world)
    title = f"Go on: {panel.title}"
    run = Run(("resume", panel.folder), title, on_screen=True, folder=panel.folder)
    words = f"{panel.open_name}: {panel.unfinished_shoot}. It goes on with the photograph that is missing."
    return Confirm(title, (words,), (("go", "Go on", run),), chosen="go")


_OPENED: dict[str, Callable[[PanelFacts, World], View]] = {
    "look": look_form,
    "spot": lambda panel, world: measuring_form(panel, world, "spot"),
    "inspect": lambda panel, world: measuring_form(panel, world, "inspect"),
    "shoot": shoot_form,
    "usage": usage_form,
    "resume": _resume,
    "close": _confirm_close,
    "forecast": forecast_form,
    "export": export_form,
}
