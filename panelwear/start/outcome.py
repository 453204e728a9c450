"""What a command's end makes of the start screen: which pages go, and what is told."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from panelwear.start.form import FormView
from panelwear.start.menu import First, PanelPage
from panelwear.start.record import blocks_of_parts
from panelwear.start.state import Browse, Run, State, Wish
from panelwear.start.told import Block, Told, Working, blocks_of, ending, exit_words
from panelwear.telling.parts import Part

LAST_LINES = 60
"""Of what a session at the screen said: the rest was on the screen, or says how far it was."""
WRITTEN = "opens in any browser"
"""In the line of ``panelwear report`` that begins with the file's path."""
TELLING = ("SHOWN ", "PAGE ", "ROWS ", "LISTENS")
"""Lines that are meant for a test of the real screen."""
_PROGRESS = re.compile(r"^\[[= #]*\] *\d+ ?%")


def kept_lines(lines: Sequence[str]) -> list[str]:
    """Leave out what only said how far it was."""
    kept = [line for line in lines if not line.startswith(TELLING) and not _PROGRESS.match(line)]
    while kept and not kept[0].strip():
        kept = kept[1:]
    return kept


def report_path(lines: Sequence[str]) -> str:
    """Find the file a report was written to; empty where none was."""
    found = [line for line in lines if WRITTEN in line]
    return found[-1].rpartition(": ")[0] if found else ""


def outcome(state: State, run: Run, lines: Sequence[str], code: int, parts: Sequence[Part] | None = None) -> State:
    """Go on after a command has ended.

    Args:
        state: before; a page that said it works lies on top where one did.
        run: what was run.
        lines: what it said.
        code: how it ended.
        parts: what its record says, where it gave one: told in the place of its lines.
    """
    if isinstance(state.view, Working):
        state = state.back()
    # After a session the room is dark, and so are the eyes.
    room = "dark" if run.on_screen else state.room
    state = replace(state, world=replace(state.world, ready=False), room=room)
    said = kept_lines(lines)
    done = code == 0
    command = run.words[0]
    # A form stays where its answers have to be put right; what was shown only was no work done.
    if isinstance(state.view, FormView) and code in {0, 1} and "--dry-run" not in run.words:
        state = state.back()
    if command == "new" and done:
        return opened(state, run.folder).instead(PanelPage(run.folder, chosen="zones"))
    if command == "rehearse" and done:
        state = state.over(PanelPage(run.folder))
    if isinstance(state.view, PanelPage):
        state = state.instead(PanelPage(state.view.folder))
    return state.over(_told(run, blocks_of(_shown(run, said)) if parts is None else blocks_of_parts(parts), said, code))


def _shown(run: Run, said: list[str]) -> list[str]:
    return said[-LAST_LINES:] if run.on_screen else said


def _told(run: Run, blocks: tuple[Block, ...], said: list[str], code: int) -> Told:
    title = f"{run.title}, {ending(code)}"
    path = report_path(said) if run.words[0] == "report" else ""
    if path:
        browse: tuple[str, str, Wish | None] = ("browse", "Open it in the browser; this screen leaves", Browse(path))
        lines = tuple(Block((line,)) for line in said)
        return Told(title, lines, "The report is written.", (browse, ("back", "Back", None)), chosen="browse")
    head = "" if code == 0 and not run.on_screen else f"This is how it ended: {exit_words(code)}."
    told = Told(title, blocks, head)
    return told.at_its_end() if run.on_screen else told


def not_browsed(state: State, path: str) -> State:
    """Say where a report lies that no browser was found for."""
    words = (Block(("No browser was found here. Open this file with one:",)), Block((path,)))
    return state.instead(Told("Report", words))


def opened(state: State, folder: str) -> State:
    """Show the page of a panel folder that was opened: the chooser goes."""
    return replace(state, views=(First(chosen=folder), PanelPage(folder)))
