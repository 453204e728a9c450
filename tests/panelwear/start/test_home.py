"""The person's own folder is told as ``~``, and understood so."""

from __future__ import annotations

import pytest

from panelwear.screen.page import Buttons, Item, Items, Page, Words
from panelwear.start.home import meant, shown, shown_page


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("stored in /home/them/panels/desk-left.", "stored in ~/panels/desk-left."),
        ("/home/them", "~"),
        ("in '/home/them/a' and /home/them/b: both", "in '~/a' and ~/b: both"),
        ("/home/them-too/a", "/home/them-too/a"),
        ("/home/themselves", "/home/themselves"),
        ("/mnt/home/them/a", "/mnt/home/them/a"),
    ],
)
def test_only_paths_that_begin_with_the_persons_own_folder_are_shortened(text: str, said: str) -> None:
    assert shown(text, "/home/them") == said


@pytest.mark.parametrize("home", ["", "/"])
def test_where_nobodys_folder_is_known_nothing_is_shortened(home: str) -> None:
    assert shown("/panels/desk", home) == "/panels/desk"


def test_what_a_person_types_stays_as_typed() -> None:
    rows = (Item("a", "Folder", value="/home/them/a", entry=True), Item("b", "/home/them/b", note="/home/them"))
    page = Page("/home/them/t", (Words("/home/them/w"), Items(rows), Buttons((Item("c", "/home/them/c"),))))
    told = shown_page(page, "/home/them")
    assert (told.title, told.parts[0]) == ("~/t", Words("~/w"))
    assert [(item.label, item.value, item.note) for item in told.items] == [
        ("Folder", "/home/them/a", ""), ("~/b", "", "~"), ("~/c", "", "")
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "path"),
    [("~/a", "/home/them/a"), ("~", "/home/them"), ("--out=~/a", "/home/them/a"), ("a~/b", "a~/b"), ("~a", "~a")],
)
def test_a_path_typed_with_it_is_written_out(typed: str, path: str) -> None:
    assert meant(typed, "/home/them").removeprefix("--out=") == path
