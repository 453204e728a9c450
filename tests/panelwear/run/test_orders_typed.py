"""Where readings are typed: the last one is corrected, letters are answers first, a slip is asked about."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

from panelwear.screen.contract import Card
from panelwear.screen.placing_page import PLACING
from panelwear.upkeep.check import check
from sequences.model import CloseLook, PutProbe, Read
from tests.panelwear.run.bench import BADGE, CENTRE, Stand, patch
from tests.panelwear.run.typing_stand import STEPS, typed, values


def keys(text: str) -> tuple[str, ...]:
    return (*text, "return")


def test_backspace_at_a_typed_reading_corrects_the_last_one(tmp_path: Path) -> None:
    steps = (Read(1, 1, patch(40, n=2)), Read(2, 1, patch(90, n=1)))
    stand = Stand(tmp_path / "harbour-desk", steps)
    script = (keys("40"), ("return",), ("backspace",), keys("41"), ("return",), keys("42"), ("return",))
    engine, _, _ = typed(stand, (*script, keys("90"), ("return",)), steps)

    with closing(engine.journal):
        engine.run(1)

    rows = stand.checkpoint.rows()
    assert [(row.Y_cd_m2, row.flags, row.repeat) for row in rows] == [
        (40.0, "typed-in", 1),
        (41.0, "typed-in replaces=1", 1),
        (42.0, "typed-in", 2),
        (90.0, "typed-in", 1),
    ]
    assert rows[1].monotonic_s == rows[0].monotonic_s  # the light of that moment, with the number it should have had
    assert [row.row for row in engine.state.rows] == [2, 3, 4]
    assert check(stand.folder).problems == ()


def test_backspace_twice_leaves_the_last_reading_as_it_was(tmp_path: Path) -> None:
    steps = (Read(1, 1, patch(40, n=2)),)
    stand = Stand(tmp_path / "harbour-desk", steps)
    script = (keys("40"), ("return",), ("backspace",), ("backspace",), keys("42"), ("return",))
    engine, _, _ = typed(stand, script, steps)

    with closing(engine.journal):
        engine.run(1)

    assert [row.Y_cd_m2 for row in stand.checkpoint.rows()] == [40.0, 42.0]


def test_back_typed_at_the_terminal_corrects_the_last_reading_and_the_new_row_says_so(tmp_path: Path) -> None:
    steps = (Read(1, 1, patch(40, n=2)), Read(2, 1, patch(90, n=1)))
    stand = Stand(tmp_path / "harbour-desk", steps)
    script = ("back", "40", "", "back", "back", "Back", "4", "back", "41", "", "42", "", "90", "")
    engine, _, _ = typed(stand, script, steps)

    with closing(engine.journal):
        engine.run(1)

    assert [(row.Y_cd_m2, row.flags, row.repeat) for row in stand.checkpoint.rows()] == [
        (40.0, "typed-in", 1),
        (41.0, "typed-in replaces=1", 1),
        (42.0, "typed-in", 2),
        (90.0, "typed-in", 1),
    ]
    assert check(stand.folder).problems == ()


def test_r_and_p_at_a_typed_reading_are_heard_only_while_nothing_is_typed(tmp_path: Path) -> None:
    steps = (Read(1, 1, patch(40, n=2)),)
    stand = Stand(tmp_path / "harbour-desk", steps)
    script = (keys("40"), ("return",), ("r",), keys("41"), ("return",), ("4", "p", "r", "backspace", "backspace",
              "2", "return"), ("return",))  # fmt: skip
    engine, screen, _ = typed(stand, script, steps)

    with closing(engine.journal):
        engine.run(1)

    assert [(row.Y_cd_m2, row.flags) for row in stand.checkpoint.rows()] == [
        (40.0, "typed-in"),
        (41.0, "replaces=1 typed-in"),
        (42.0, "typed-in"),
    ]
    assert "pause" not in [shown.frame.pattern for shown in screen.note.shown]


def test_p_at_a_placement_pauses_and_the_target_comes_back(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk", STEPS)
    engine, screen, _ = typed(stand, (), (PutProbe(1, 1, BADGE), PutProbe(2, 2, CENTRE)))
    screen.press("return", after_s=2.0)
    screen.press("p", after_s=4.0)
    screen.press("return", after_s=6.0)
    screen.press("h", after_s=8.0)
    screen.press("x", after_s=9.0)
    screen.press("return", after_s=10.0)
    screen.press("return", after_s=30.0)
    screen.press("return", after_s=60.0)

    with closing(engine.journal):
        engine.run(1)

    names = list(dict.fromkeys(shown.frame.pattern for shown in screen.note.shown))
    assert names == ["target", "pause"]
    assert screen.note.pages == [PLACING, PLACING], "before the first placement, and by h"
    assert screen.note.shown[-1].frame.pattern == "target"
    placements = [card for card in screen.note.cards if isinstance(card, Card) and card.title.startswith("Put the")]
    assert [card.title for card in placements] == ["Put the probe at: badge"] * 3 + ["Put the probe at: centre"]
    assert any("step 2 of 2" in line for line in placements[-1].lines)


def test_a_typed_reading_says_which_of_how_many_it_is_and_a_slip_of_the_decimal_mark_is_asked_about(
    tmp_path: Path,
) -> None:
    steps = (Read(1, 1, patch(40)), CloseLook(2))
    stand = Stand(tmp_path / "harbour-desk", steps)
    script = (keys("72.3"), keys(""), keys("723"), keys("72.4"), keys(""))
    engine, screen, _ = typed(stand, script, steps)

    with closing(engine.journal):
        engine.run(1)

    asked = [" ".join((card.title, *card.lines)) for card in screen.note.cards if card is not None]
    first, second = (next(n for n, said in enumerate(asked) if f"reading {k} of 2" in said) for k in (1, 2))
    assert first < second
    assert next(n for n, said in enumerate(asked) if "The readings before were 72.3 cd/m²" in said) > second
    assert values(stand) == [72.3, 72.4]
