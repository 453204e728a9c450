"""How far something is: a line for a run, whose terminal takes answers too, and a bar that stays below what is said."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Protocol

from panelwear.telling.layout import text_of
from panelwear.telling.out import is_styled, is_terminal, tell, width_of
from panelwear.telling.parts import Part
from panelwear.telling.words import whole_percent

if TYPE_CHECKING:
    from rich.progress import Progress as RichProgress

WIDE = 20
"""Columns of the bar."""


def in_one_line(share: float, words: Iterable[str], width: float) -> str:
    """Write a bar, the share in per cent and as many of the words as there is room for, the first ones first."""
    done = round(WIDE * min(1.0, max(0.0, share)))
    line = f"[{'=' * done}{' ' * (WIDE - done)}] {whole_percent(share):>5}"
    for word in filter(None, words):
        if len(line) + 2 + len(word) > width:
            break
        line += f"  {word}"
    return line


class Says(Protocol):
    """Where a command that takes a while says what it does."""

    def parts(self, *parts: Part) -> None:
        """Say something; it stays."""

    def share(self, share: float, words: str) -> None:
        """Say how far it is, in the place of the last time this was said."""


@contextmanager
def bar(*, quiet: bool = False) -> Iterator[Says]:
    """Show a bar where somebody looks at it; elsewhere only what is said stays."""
    if quiet or not is_terminal(sys.stdout):
        yield _Plain(quiet)
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn
    from rich.table import Column

    console = Console(width=width_of(), no_color=not is_styled(), highlight=False, markup=False, emoji=False)
    words = TextColumn("{task.description}", markup=False, table_column=Column(overflow="fold"))
    share = TextColumn("{task.fields[share]:>5}", table_column=Column(no_wrap=True))
    plain = BarColumn(WIDE, style="default", complete_style="default", finished_style="default")
    with Progress(plain, share, words, console=console, transient=True, auto_refresh=False) as shown:
        yield _Bar(shown)


class _Plain:
    def __init__(self, quiet: bool) -> None:
        self._quiet = quiet

    def parts(self, *parts: Part) -> None:
        tell(parts, quiet=self._quiet)

    def share(self, share: float, words: str) -> None:
        """Nobody looks."""


class _Bar:
    def __init__(self, shown: RichProgress) -> None:
        self._shown = shown
        self._task = shown.add_task("", total=1.0, share="")

    def parts(self, *parts: Part) -> None:
        # The library lifts its bar off the line, and puts it back below.
        self._shown.console.out(text_of(parts, width_of(), styled=False), highlight=False)

    def share(self, share: float, words: str) -> None:
        self._shown.update(self._task, completed=share, description=words, share=whole_percent(share), refresh=True)
