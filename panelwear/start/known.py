"""Which panel folders were opened before: a small file of the person's, written by every command that opens one.

A list of folders is a convenience and never evidence: where it cannot be read or written, nothing else stops for it.
"""

from __future__ import annotations

import contextlib
from pathlib import Path
from typing import Any

from panelwear.errors import FileFault, PanelwearError
from panelwear.folder.user_state import users_state_folder

MOST = 40
"""Folders that are remembered; the one opened longest ago goes first."""
FILE = "panels.json"


def known_file() -> Path:
    """Return the file of this person on this machine."""
    return users_state_folder() / FILE


def read_known(path: Path) -> tuple[str, ...]:
    """Return the folders, the one opened last first; none where there is no file yet.

    Raises:
        FileFault: the file is damaged.
    """
    from groundwork.documents import parse_json
    from groundwork.files import content

    try:
        data = parse_json(content(path), path.name, FileFault)
    except FileNotFoundError:
        return ()
    except OSError as error:
        raise FileFault((f"{path}: cannot be read ({error.strerror})",)) from None
    folders = data.get("panels") if isinstance(data, dict) else None
    if not isinstance(folders, list) or not all(isinstance(one, str) and one for one in folders):
        raise FileFault((f"{path}: panels: wanted a list of folders; remove the file, and panels are listed again",))
    return tuple(dict.fromkeys(folders))


def write_known(path: Path, folders: tuple[str, ...]) -> None:
    """Write the folders; ``StorageFault`` or ``OSError`` where that cannot be done."""
    from panelwear.atomic import write_json

    path.parent.mkdir(parents=True, exist_ok=True)
    data: dict[str, Any] = {"about": "panel folders opened with panelwear, the last one first", "panels": [*folders]}
    write_json(path, data)


def remember(folder: Path, path: Path | None = None) -> bool:
    """Put a panel folder first on the list; whatever goes wrong with the list is nobody's trouble.

    A folder without ``panel.toml`` is none and is not remembered; returns whether it has one.
    """
    with contextlib.suppress(OSError, PanelwearError, RuntimeError):  # RuntimeError: nobody's home is known
        if not (folder / "panel.toml").is_file():
            return False
        path = path or known_file()
        here = str(folder.resolve())
        try:
            before = read_known(path)
        except FileFault:
            before = ()
            path.replace(path.with_name(f"damaged-{path.name}"))
        if before[:1] != (here,):
            write_known(path, (here, *(one for one in before if one != here))[:MOST])
    return True


def forget(folder: str, path: Path | None = None) -> None:
    """Take a folder off the list; nothing else is touched."""
    path = path or known_file()
    write_known(path, tuple(one for one in read_known(path) if one != folder))
