"""Every command line that README and docs/ print is one that the program understands."""

from __future__ import annotations

import re
import shlex

import pytest

from panelwear.cli import COMMANDS
from panelwear.commands.parsing import parser_for
from tests.documents.tables import text_of
from tests.documents.test_links import PAGES


def typed(page: str) -> list[list[str]]:
    """Return the words of every line of a page's code that begins with the program's name."""
    blocks = re.findall(r"^ *```\w*\n(.*?)^ *```", text_of(page), re.MULTILINE | re.DOTALL)
    lines = (line.strip() for block in blocks for line in block.splitlines())
    return [shlex.split(line, comments=True)[1:] for line in lines if re.match(r"panelwear [a-z]", line)]


WITH_COMMANDS = [page for page in PAGES if typed(page)]


@pytest.mark.parametrize("page", WITH_COMMANDS)
def test_a_printed_command_is_understood(page: str) -> None:
    for words in typed(page):
        assert words[0] in COMMANDS, words
        parser_for(words[0])[0].parse_args(words[1:])  # ends the test with its sentence if it does not fit


def test_the_pages_that_print_commands_are_read() -> None:
    assert {"README.md", "docs/how-to/two-monitors.md", "docs/commands.md"} <= set(WITH_COMMANDS)
    assert ["screens", "--prove", "0"] in typed("README.md")
