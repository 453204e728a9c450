"""The entry in the desktop's menu: written, understood by the rules it is written after, and taken away again."""

from __future__ import annotations

import configparser
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest

from panelwear.cli import main
from panelwear.start import shortcut

pytestmark = pytest.mark.skipif(sys.platform in {"win32", "darwin"}, reason="no menu of this kind there")


@pytest.fixture
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    return tmp_path


def unquoted(value: str) -> list[str]:
    """Read an ``Exec`` key as the Desktop Entry Specification has it: string escapes, then quotes, then per cents."""
    text, words, word, quoted = value.replace("\\\\", "\\"), [], "", False
    characters = iter(text)
    for c in characters:
        if c == '"':
            quoted = not quoted
        elif c == "\\" and quoted:
            word += next(characters)
        elif c == " " and not quoted:
            words, word = [*words, word], ""
        else:
            word += c
    return [one.replace("%%", "%") for one in [*words, word]]


def test_the_entry_starts_this_python_and_goes_again(data: Path) -> None:
    assert main(["install-shortcut"]) == 0
    desktop, icon = shortcut.files_of(data)
    read = configparser.RawConfigParser(interpolation=None)
    read.optionxform = str  # type: ignore[assignment, method-assign]
    read.read_string(desktop.read_text(encoding="utf-8"))
    entry = read["Desktop Entry"]
    assert (entry["Type"], entry["Icon"], entry["Terminal"]) == ("Application", "panelwear", "false")
    assert unquoted(entry["Exec"]) == [sys.executable, "-P", "-m", "panelwear"]
    assert ElementTree.parse(icon).getroot().tag.endswith("svg")  # noqa: S314 - our own
    assert main(["install-shortcut"]) == 0
    assert main(["install-shortcut", "--remove"]) == 0
    assert not desktop.exists() and not icon.exists()
    assert main(["install-shortcut", "--remove"]) == 0


@pytest.mark.parametrize("path", ['/a b/py"thon', "/100%/$HOME/`x`", "/back\\slash/python"])
def test_an_odd_path_is_quoted(path: str) -> None:
    assert unquoted(f"{shortcut.exec_word(path)} -m panelwear") == [path, "-m", "panelwear"]


@pytest.mark.parametrize("options", [(), ("--remove",)])
def test_a_file_of_another_hand_is_left_alone(data: Path, options: tuple[str, ...]) -> None:
    desktop, _ = shortcut.files_of(data)
    desktop.parent.mkdir(parents=True)
    desktop.write_text("[Desktop Entry]\nName=mine\n", encoding="utf-8")
    assert main(["install-shortcut", *options]) == 5
    assert desktop.read_text(encoding="utf-8") == "[Desktop Entry]\nName=mine\n"
