"""An entry for the start screen in the desktop's menu: a desktop file and a picture, as freedesktop.org has them.

Sources: Desktop Entry Specification 1.5 (quoting of ``Exec``: reserved characters in double quotes, with a backslash
before double quote, grave accent, dollar sign and backslash; a per cent sign is doubled), Icon Theme Specification
(``hicolor/scalable/apps``), XDG Base Directory Specification 0.8 (``XDG_DATA_HOME``). From memory.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from panelwear.atomic import write_whole
from panelwear.errors import StorageFault

MARK = "X-Panelwear=made by panelwear install-shortcut"
"""Tells our file from one that a person wrote under the same name."""
_DESKTOP = """\
[Desktop Entry]
Type=Application
Version=1.5
Name=panelwear
Comment=Inspect how a display wears: patterns, readings, comparison
Exec={exec}
Icon=panelwear
Terminal=false
Categories=Science;Utility;
Keywords=display;monitor;wear;burn-in;colorimeter;test pattern;
{mark}
"""
_ICON = """\
<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 64 64">
<!-- a panel with a worn column and a brighter box, and the ring of a probe -->
<rect x="4" y="10" width="56" height="38" rx="3" fill="#2a2622"/>
<rect x="8" y="14" width="48" height="30" fill="#8f8577"/>
<rect x="8" y="14" width="11" height="30" fill="#7d7367"/>
<rect x="44" y="14" width="12" height="8" fill="#a0968a"/>
<circle cx="31" cy="29" r="8" fill="none" stroke="#e8c27a" stroke-width="3"/>
<rect x="22" y="51" width="20" height="4" rx="2" fill="#2a2622"/>
</svg>
"""


def data_folder(environ: Mapping[str, str], home: Path) -> Path:
    """Return where this person's applications are kept."""
    stated = environ.get("XDG_DATA_HOME", "")
    return Path(stated) if Path(stated).is_absolute() else home / ".local" / "share"


def exec_word(word: str) -> str:
    """Quote a word for the ``Exec`` key."""
    quoted = "".join(f"\\{c}" if c in '"`$\\' else c for c in word).replace("%", "%%")
    # What the key holds is a string, in which a backslash is written as two.
    return f'"{quoted}"'.replace("\\", "\\\\")


def desktop_text(python: str) -> str:
    """Write the desktop file; ``python`` is the interpreter panelwear is installed in."""
    # -P: a folder called panelwear in the person's own is not taken for the program.
    return _DESKTOP.format(exec=f"{exec_word(python)} -P -m panelwear", mark=MARK)


def files_of(data: Path) -> tuple[Path, Path]:
    """Return the paths of desktop file and picture."""
    return data / "applications" / "panelwear.desktop", data / "icons/hicolor/scalable/apps/panelwear.svg"


def install(data: Path, python: str) -> tuple[Path, Path]:
    """Write both files; one of ours that is there is replaced, another's is left alone.

    Raises:
        StorageFault: a desktop file that is not ours is there, or nothing can be written.
    """
    desktop, icon = files_of(data)
    _refuse_foreign(desktop)
    for path, text in ((icon, _ICON), (desktop, desktop_text(python))):
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise StorageFault(f"{path.parent}: cannot be made ({error.strerror})") from None
        write_whole(path, text.encode())
    return desktop, icon


def remove(data: Path) -> tuple[Path, ...]:
    """Remove what ``install`` wrote; returns what was there."""
    desktop, icon = files_of(data)
    _refuse_foreign(desktop)
    there = tuple(path for path in (desktop, icon) if path.exists())
    for path in there:
        try:
            path.unlink()
        except OSError as error:
            raise StorageFault(f"{path}: cannot be removed ({error.strerror})") from None
    return there


def _refuse_foreign(desktop: Path) -> None:
    if desktop.exists() and MARK not in desktop.read_text(encoding="utf-8", errors="replace").splitlines():
        raise StorageFault(f"{desktop}: was not made by panelwear; nothing was changed")


def here() -> Path:
    """Return this person's own folder of applications."""
    return data_folder(os.environ, Path.home())
