"""Keys in a run: pause, read again, correct the last typed reading, the keys themselves; wrong keys do nothing."""

from __future__ import annotations

from contextlib import closing
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from panelwear.errors import Stopped
from panelwear.figures.load import evidence_of_session
from panelwear.run.pause import WATCHED_S, Paused, place_at
from panelwear.run.resume import Done, resume_point
from panelwear.run.session import run_checkpoint
from panelwear.upkeep.check import check
from patterns.raster import raster
from sequences.model import CloseLook, Hold, PutProbe, Read
from tests.panelwear.run.bench import BADGE, CENTRE, PixelProbe, Stand, patch
from tests.panelwear.run.test_disturbances import fake, on_frame
from tests.panelwear.run.typing_stand import STEPS, typed, values


@pytest.fixture
def stand(tmp_path: Path) -> Stand:
    return Stand(tmp_path / "harbour-desk", STEPS)


def press_while_reading(bench, number: int, *keys: str) -> None:
    """Press keys while a reading is taken, the first from 1."""
    assert isinstance(bench.probe, PixelProbe)

    def before(count: int) -> None:
        if count == number:
            fake(bench).press(*keys)

    bench.probe.before = before


def test_the_pause_says_what_is_stored_and_wanders_from_place_to_place() -> None:
    card = Paused(
        "41 readings stored in 2026-02-03-h500", "last: 72.3 cd/m²", "visit 1 of 2, patch 7 of 9, about 3 min left"
    ).card(130.0)

    assert card.title == "Paused"
    assert card.lines[:4] == (
        "41 readings stored in 2026-02-03-h500",
        "last: 72.3 cd/m²",
        "visit 1 of 2, patch 7 of 9, about 3 min left",
        "paused for 2 min",
    )
    assert any(line.startswith("Return: ") for line in card.lines)
    assert any(line.startswith("Escape: ") for line in card.lines)
    assert len({place_at(20.0 * step) for step in range(5)}) == 5


def test_p_while_a_patch_settles_takes_it_down_and_lets_it_settle_anew(stand: Stand) -> None:
    bench = stand.bench()
    screen = fake(bench)
    on_frame(screen, 2, lambda: (screen.press("p"), screen.press("return", after_s=30.0)))

    run_checkpoint(bench, stand.job())

    names = [shown.frame.pattern for shown in screen.note.shown]
    assert names[:3] == ["target", "field", "pause"]
    assert set(names[2 : names.index("field", 2)]) == {"pause"}  # no patch is up meanwhile
    rows = stand.checkpoint.rows()
    assert [row.flags for row in rows] == ["ok"] * 4
    assert min(row.settled_s for row in rows) >= 1.0
    (noted,) = stand.checkpoint.session["pauses"]
    assert (noted["from_row"], 25 < noted["seconds"] < 35) == (1, True)


def test_after_a_long_pause_the_panel_is_watched_until_it_is_steady(stand: Stand) -> None:
    bench = stand.bench()
    screen = fake(bench)
    on_frame(screen, 2, lambda: (screen.press("p"), screen.press("return", after_s=2 * WATCHED_S)))

    run_checkpoint(bench, stand.job())

    assert stand.checkpoint.rows()[0].purpose == "settling"
    assert any("steady" in said for said in bench.operator.told)


def test_escape_in_a_pause_stops_and_no_other_key_goes_on(stand: Stand) -> None:
    bench = stand.bench()
    press_while_reading(bench, 2, "p")
    screen = fake(bench)
    on_frame(screen, 3, lambda: (screen.press("x", "s", "p", after_s=5.0), screen.press("escape", after_s=9.0)))

    with pytest.raises(Stopped, match="2 readings are stored"):
        run_checkpoint(bench, stand.job())
    assert len(stand.checkpoint.rows()) == 2


def test_p_in_a_hold_pauses_and_the_hold_begins_again(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk", (Hold(1, patch(40), "a", 5.0), CloseLook(2)))
    bench = stand.bench()
    on_frame(fake(bench), 1, lambda: (fake(bench).press("p"), fake(bench).press("page-down", after_s=10.0)))

    run_checkpoint(bench, stand.job())

    names = [shown.frame.pattern for shown in fake(bench).note.shown]
    assert (names[0], names[1], names[-2]) == ("field", "pause", "field")


PHOTOS = (Hold(1, patch(40), "01-a"), Hold(2, patch(90), "02-b"), CloseLook(3))


def test_a_photograph_is_announced_held_alone_until_a_hand_goes_on_and_recorded_with_its_time(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk", PHOTOS)
    engine, screen, _ = typed(stand, (), PHOTOS)
    for number, key in enumerate(("return", "x", "up", "return", "page-down", "s", "space")):
        screen.press(key, after_s=2.0 + 3 * number)

    with closing(engine.journal):
        engine.run(1)

    cards = [card for card in screen.note.cards if card is not None and card.lines[0].startswith("Next photograph")]
    assert [card.lines[0] for card in cards] == ["Next photograph: 01-a", "Next photograph: 02-b"]
    first, second = stand.checkpoint.session["held"]
    assert (first["photo"], first["codes"], first["pattern"]) == ("01-a", [40.0] * 3, "field")
    middle = {shown.frame_sha256: int(raster(shown.frame)[100, 160, 0]) for shown in screen.note.shown}
    assert [middle[entry["frame_sha256"]] for entry in (first, second)] == [40, 90]
    begun, ended = (datetime.fromisoformat(first[name]) for name in ("from_utc", "to_utc"))
    assert 8.0 < (ended - begun).total_seconds() < 10.0, "the wrong keys ended nothing"
    assert datetime.fromisoformat(second["from_utc"]) > ended


def test_h_shows_the_keys_over_the_card_of_a_photograph_and_the_card_comes_back(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk", PHOTOS[:1])
    engine, screen, _ = typed(stand, (), PHOTOS[:1])
    for number, key in enumerate(("h", "x", "return", "return")):
        screen.press(key, after_s=2.0 + 3 * number)

    with closing(engine.journal):
        engine.run(1)

    on = [card.title or card.lines[0] for card in screen.note.cards if card is not None]
    assert on == ["Next photograph: 01-a", "Keys", "Next photograph: 01-a"]


def test_one_step_back_holds_the_photograph_before_again(tmp_path: Path) -> None:
    stand = Stand(tmp_path / "harbour-desk", PHOTOS)
    engine, screen, _ = typed(stand, (), PHOTOS)
    for number, key in enumerate(
        ("return", "return", "left", "return", "return", "return", "page-up", *["return"] * 4)
    ):
        screen.press(key, after_s=2.0 + 3 * number)

    with closing(engine.journal):
        engine.run(1)

    assert [entry["photo"] for entry in stand.checkpoint.session["held"]] == ["01-a", "01-a", "02-b", "01-a", "02-b"]


def test_r_during_a_reading_reads_the_whole_patch_again_and_the_old_rows_stay(stand: Stand) -> None:
    bench = stand.bench()
    press_while_reading(bench, 2, "r")

    outcome = run_checkpoint(bench, stand.job())

    rows = stand.checkpoint.rows()
    assert [row.patch.split("/")[3] for row in rows] == ["c40", "c40", "c40", "c40", "c90", "c90"]
    assert [row.flags for row in rows] == ["ok", "ok", "replaces=1+2", "ok", "ok", "ok"]
    assert [row.row for row in outcome.rows] == [3, 4, 5, 6]
    assert check(stand.folder).problems == ()


def test_r_before_the_first_reading_of_a_patch_reads_the_one_before_again(stand: Stand) -> None:
    bench = stand.bench()
    screen = fake(bench)
    on_frame(screen, 3, lambda: screen.press("r"))

    run_checkpoint(bench, stand.job())

    rows = stand.checkpoint.rows()
    assert [row.patch.split("/")[3] for row in rows] == ["c40", "c40", "c40", "c40", "c90", "c90"]
    assert rows[2].flags == "replaces=1+2"
    assert [row.Y_cd_m2 for row in rows[4:]] == [90.0, 90.0]


def test_what_was_read_stands_where_nothing_good_is_read_again(tmp_path: Path) -> None:
    """The reference comes twice: its second showing does not take the place of the first."""
    reference = patch(128, purpose="reference", n=1)
    steps = (PutProbe(1, 1, CENTRE), Read(2, 1, reference), Read(3, 1, patch(40, n=1)), Read(4, 1, reference))
    stand = Stand(tmp_path / "harbour-desk", (*steps, CloseLook(5)))
    bench = stand.bench()
    press_while_reading(bench, 1, "r")
    honest = bench.probe.measure

    def skipped(integration_s=None, idle=None):
        reading = honest(integration_s, idle)
        return replace(reading, Y_cd_m2=None, flags=("skipped",)) if bench.probe.count == 2 else reading

    bench.probe.measure = skipped
    run_checkpoint(bench, stand.job())

    assert [row.flags for row in stand.checkpoint.rows()] == ["ok", "skipped", "ok", "ok"]


def test_r_where_the_probe_was_moved_since_reads_nothing_again(tmp_path: Path) -> None:
    steps = (PutProbe(1, 1, CENTRE), Read(2, 1, patch(40)), PutProbe(3, 2, BADGE), Read(4, 2, patch(90, BADGE)))
    stand = Stand(tmp_path / "harbour-desk", (*steps, CloseLook(5)))
    bench = stand.bench()
    on_frame(fake(bench), 4, lambda: fake(bench).press("r"))

    run_checkpoint(bench, stand.job())

    assert len(stand.checkpoint.rows()) == 4
    assert any("nothing was read at this place yet" in said for said in bench.operator.told)


def test_figures_see_the_readings_that_took_the_others_place(stand: Stand) -> None:
    """The second reading is 1000 cd/m² too high: the glare of a torch, which the person has seen."""
    bench = stand.bench()
    press_while_reading(bench, 2, "r")
    honest = bench.probe.measure

    def glared(integration_s=None, idle=None):
        reading = honest(integration_s, idle)
        return replace(reading, Y_cd_m2=45.0) if bench.probe.count == 2 else reading

    bench.probe.measure = glared
    run_checkpoint(bench, stand.job())

    evidence = evidence_of_session(stand.folder, stand.checkpoint.name, 1).now
    assert values(stand)[1] == 45.0
    assert 45.0 not in evidence.table.Y
    assert len(evidence.table) == 4


def test_a_patch_that_was_read_again_counts_once_when_a_run_is_gone_on_with(stand: Stand) -> None:
    bench = stand.bench()
    press_while_reading(bench, 2, "r")
    run_checkpoint(bench, stand.job())
    rows = stand.checkpoint.rows()

    assert resume_point(STEPS, rows, Done()).why == "nothing is left to read"
    assert resume_point(STEPS, rows[:2], Done()).why == "from step 2"


def test_h_shows_the_keys_over_a_wait_and_the_wait_begins_anew(tmp_path: Path) -> None:
    engine, screen, clock = typed(Stand(tmp_path / "harbour-desk", STEPS), ())
    screen.press("h", after_s=0.5)
    screen.press("x", after_s=4.0)
    screen.happen("pointer-move", after_s=1.0)
    began_s = clock.monotonic_s()
    from panelwear.run.messages import Wait

    engine._do(Wait(2.0))

    keys = [card for card in screen.note.cards if card is not None]
    assert [card.title for card in keys] == ["Keys"]
    assert clock.monotonic_s() - began_s == pytest.approx(6.0, abs=0.2)
