"""Before an inspection: the probe's way, its minutes, and what the sequence cannot tell; a person's own sequences."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from panelwear.screen.page import Dot, Drawing
from panelwear.start.facts import Choice
from panelwear.start.own_sequences import own_sequences
from panelwear.start.planning import planned
from panelwear.start.state import Run, ShowWay, State, page_of
from panelwear.start.way import Planned, Way, with_way
from panelwear.upkeep.create import PanelSpec, new_panel
from tests.panelwear.start.hand import DESK, click, filled, key, picked, words
from tests.panelwear.start.test_forms import PROBED, panel

OWN = """
name = "my-evening"
description = "Two places. Cannot tell: anything of colour."
[[steps]]
kind = "place"
at = "centre"
[[steps]]
kind = "read"
  [[steps.patches]]
  group = "window"
  codes = [128]
  share = 0.1
[[steps]]
kind = "read"
  [[steps.patches]]
  group = "grid"
  points = 5
  codes = [128]
"""


@pytest.fixture
def desk(tmp_path: Path) -> Path:
    new_panel(tmp_path, PanelSpec("harbour-desk", 3840, 2160, (598.0, 336.0)))
    (tmp_path / "mine.toml").write_text(OWN, encoding="utf-8")
    return tmp_path


def asked(folder: Path, sequence: str) -> ShowWay:
    return ShowWay(
        Run(("inspect", str(folder)), "Inspection: harbour-desk", on_screen=True, folder=str(folder)), sequence
    )


def shown(found: Planned, folder: Path = Path("/p/desk")) -> State:
    wish = asked(folder, "half-hour")
    return with_way(panel().over(Way(wish)), wish, found)


def test_begin_of_an_inspection_shows_the_way_first_and_of_a_spot_it_does_not() -> None:
    form = filled(click(panel(PROBED), "inspect"), hours="1500")
    wish = click(form, "go").wish
    assert isinstance(wish, ShowWay)
    assert (wish.sequence, wish.run.words[0], wish.link) == ("checkpoint", "inspect", "keyboard")
    assert isinstance(click(filled(click(panel(PROBED), "spot"), hours="1500"), "go").wish, Run)


@pytest.mark.parametrize(("sequence", "cannot"), [("half-hour", True), ("ten-minutes", True), ("checkpoint", False)])
def test_the_way_tells_placements_minutes_and_what_the_sequence_cannot_tell(
    desk: Path, sequence: str, cannot: bool
) -> None:
    found = planned(asked(desk, sequence))
    page = page_of(shown(found))
    told = words(page)
    assert page.title == f"The probe's way: {sequence}"
    assert "of the probe" in told and "min of reading" in told
    assert (f"{sequence.capitalize()} cannot tell: " in told) is cannot
    (drawing,) = (part for part in page.parts if isinstance(part, Drawing))
    dots = [shape for shape in drawing.shapes if isinstance(shape, Dot)]
    numbers = sorted(int(n) for dot in dots for n in dot.label.split(", "))
    assert numbers == list(range(1, int(found.words.split()[0]) + 1))


def test_return_begins_and_escape_goes_back_to_the_form(desk: Path) -> None:
    form = click(panel(PROBED), "inspect")
    wish = asked(desk, "half-hour")
    state = with_way(form.over(Way(wish)), wish, planned(wish))
    begun = key(state, "return")
    assert begun.wish == wish.run
    assert begun.view == form.view
    assert key(state, "escape") == form
    assert key(state, "right", "return") == form
    assert key(state, "right", "left", "return").wish == wish.run


def test_a_fault_is_told_and_nothing_can_be_begun(desk: Path) -> None:
    (desk / "mine.toml").write_text(OWN.replace("share = 0.1", "share = 7"), encoding="utf-8")
    page = page_of(shown(planned(asked(desk, str(desk / "mine.toml")))))
    assert "share" in words(page)
    assert [item.id for item in page.items] == ["back"]


def test_until_it_is_known_nothing_can_be_begun_and_who_went_back_is_left_alone(desk: Path) -> None:
    wish = asked(desk, "half-hour")
    waiting = panel().over(Way(wish))
    assert [item.id for item in page_of(waiting).items] == ["back"]
    assert with_way(waiting.back(), wish, Planned("half-hour", "words")) == waiting.back()
    other = replace(wish, sequence="checkpoint")
    assert with_way(waiting, other, Planned("checkpoint", "words")) == waiting


def test_many_things_left_out_are_counted(desk: Path) -> None:
    told = words(page_of(shown(Planned("zones", "words", notes=tuple(f"note {n}" for n in range(5))))))
    assert "note 2" in told and "note 3" not in told
    assert "2 more of these" in told


def test_own_sequences_of_the_panel_folder_are_offered_first_and_taken_by_their_file(desk: Path) -> None:
    assert own_sequences(desk) == (
        Choice((desk / "mine.toml").as_posix(), "mine.toml", "Two places. Cannot tell: anything of colour."),
    )
    facts = replace(PROBED, folder=str(desk), sequences=own_sequences(desk))
    picking = click(click(panel(facts), "inspect"), "sequence")
    assert [item.label for item in page_of(picking).items] == ["mine.toml", "checkpoint", "zones", "another file"]
    form = filled(click(picking, (desk / "mine.toml").as_posix()), hours="1500")
    wish = click(form, "go").wish
    assert isinstance(wish, ShowWay)
    assert f"--sequence={(desk / 'mine.toml').as_posix()}" in wish.run.words
    assert planned(replace(wish, run=asked(desk, "").run)).sequence == "my-evening"


def test_a_sequence_in_a_file_elsewhere_is_asked_for() -> None:
    form = filled(click(panel(PROBED), "inspect"), hours="1500")
    form = picked(form, "sequence", "other")
    refused = click(form, "go")
    assert refused.wish is None
    assert page_of(refused).chosen == "sequence_file"
    wish = click(filled(form, sequence_file="~/mine.toml"), "go").wish
    assert isinstance(wish, ShowWay)
    assert wish.sequence == "~/mine.toml"
    assert "--sequence=~/mine.toml" in wish.run.words


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda text: text.replace("points = 5", "points = 5000"), "has a fault: "),
        (lambda text: text + "steps = [", "has a fault: "),
    ],
)
def test_an_own_sequence_with_a_fault_is_told_with_it(desk: Path, spoil: Callable[[str], str], said: str) -> None:
    (desk / "mine.toml").write_text(spoil(OWN), encoding="utf-8")
    (one,) = own_sequences(desk)
    assert one.note.startswith(said)


def test_other_files_of_the_folder_are_no_sequences(desk: Path) -> None:
    (desk / "mine.toml").unlink()
    (desk / "meter.toml").write_text('name = "m"\nsteps = 3\n', encoding="utf-8")
    assert own_sequences(desk) == ()
    assert DESK.sequences == ()
