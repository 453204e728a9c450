"""The terminal itself: how wide it is, whether it understands bold letters, and writing on it."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterable
from typing import TextIO

from groundwork.documents import printable_lines
from panelwear.telling.layout import prose, text_of
from panelwear.telling.parts import Part

IN_A_PIPE = 100
"""Columns where there is no terminal and ``COLUMNS`` does not say."""
WIDEST = 140
"""Longer lines are hard to read; ``COLUMNS`` may ask for them all the same."""
NARROWEST = 40


def width_of(stream: TextIO | None = None) -> int:
    """Return how long a line may be: what ``COLUMNS`` says, else the terminal's width up to ``WIDEST``, else 100."""
    try:
        asked = int(os.environ.get("COLUMNS", ""))
    except ValueError:
        asked = 0
    if asked > 0:
        return max(asked, NARROWEST)
    if not is_terminal(stream or sys.stdout):
        return IN_A_PIPE
    return min(max(shutil.get_terminal_size((IN_A_PIPE, 24)).columns, NARROWEST), WIDEST)


def is_styled(stream: TextIO | None = None) -> bool:
    """Tell whether bold letters may be used: on a terminal that understands them, and not with ``NO_COLOR``."""
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM", "") in {"", "dumb"}
    return is_terminal(stream or sys.stdout) and not plain


def tell(parts: Iterable[Part], *, quiet: bool = False, file: TextIO | None = None) -> None:
    """Write parts on the terminal, as wide as it is; what would act on it comes out escaped."""
    stream = file or sys.stdout
    kept = [part for part in parts if not (quiet and part.aside)]
    if kept:
        stream.write(f"{text_of(kept, width_of(stream), styled=is_styled(stream))}\n")
        stream.flush()


def one_sentence(text: str, stream: TextIO) -> str:
    """Return a sentence broken for a terminal; elsewhere it stays one line, so that it can be searched for."""
    return "\n".join(prose(text, width_of(stream), 0, 2)) if is_terminal(stream) else printable_lines(text)


def is_terminal(stream: TextIO) -> bool:
    """Tell whether a person looks at what is written there."""
    try:
        return stream.isatty()
    except (AttributeError, ValueError):  # closed, or none
        return False
