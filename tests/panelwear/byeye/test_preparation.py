from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from groundwork.clock import VirtualClock
from panelwear.byeye.preparation import EYES, ask_person, known_response, say_cautions
from panelwear.cautions import CAUTIONS
from panelwear.folder import checkpoint
from panelwear.folder.panel import load_panel
from panelwear.panel.assumed import assumed_response
from panelwear.panel.response import ASSUMED, MEASURED
from panelwear.screen.bench import Bench
from panelwear.screen.fake import FakeScreen
from panelwear.screen.page import Words
from panelwear.simulation.scripted import ScriptedOperator
from sequences.model import Level, Patch, Place
from tests.panelwear.byeye.eye import HEIGHT, WIDTH, look_session


def stand(folder: Path, hours: float, **answers: str) -> tuple[Bench, checkpoint.Checkpoint, ScriptedOperator]:
    clock = VirtualClock(datetime(2026, 2, 3, 20, tzinfo=UTC))
    screen = FakeScreen(WIDTH, HEIGHT, clock)
    found = look_session(folder, screen, clock, hours=hours).job.checkpoint
    operator = ScriptedOperator(answers)
    return Bench(screen, clock, operator), found, operator


def test_every_caution_is_said_before_anything_else_and_can_be_read_in_a_lit_room(tmp_path: Path) -> None:
    bench, _, operator = stand(tmp_path / "desk", 1460.0)
    say_cautions(bench, None)
    assert all(caution.text in operator.told[0] for caution in CAUTIONS)
    screen = bench.screen
    assert isinstance(screen, FakeScreen)
    assert screen.page_now is not None and screen.page_now.room == "lit"
    assert isinstance(first := screen.page_now.parts[0], Words) and CAUTIONS[0].text in first.text


def test_answers_are_kept_and_are_next_time_s_defaults(tmp_path: Path) -> None:
    bench, first, _ = stand(tmp_path / "desk", 1460.0, eyes="reading glasses", rest_h="8", pixel_shift="yes")
    panel = load_panel(tmp_path / "desk")
    ask_person(bench, panel, first)
    assert checkpoint.load(first.directory).record["answers"]["eyes"] == "reading glasses"
    first.close(bench.clock.utc())
    bench, second, operator = stand(tmp_path / "desk", 2000.0)
    assert ask_person(bench, panel, second)["eyes"] == "reading glasses"
    bench, third, operator = stand(tmp_path / "desk", 2000.0, eyes="none")
    ask_person(bench, panel, third)
    assert any("other eyes see other marks" in told for told in operator.told)
    assert EYES.default == "none"


def test_a_response_measured_in_this_checkpoint_is_used_and_an_earlier_one_counts_as_assumed(tmp_path: Path) -> None:
    bench, first, _ = stand(tmp_path / "desk", 1460.0)
    panel = load_panel(tmp_path / "desk")
    said: list[str] = []
    patch = Patch("field", Place("centre", (0.0, 0.0)), "grey", Level("cd_m2", 40.0), "full", "by-eye", "field")
    assert known_response(panel, first, said.append).resolve(patch).level_basis == ASSUMED
    measured = replace(assumed_response({"kind": "power", "gamma": 2.0, "peak_cd_m2": 160.0}), basis=MEASURED)
    first.session["response"] = {"full": measured.to_json()}
    first.save()
    found = known_response(panel, first, said.append).resolve(patch)
    assert found.level_basis == MEASURED
    assert max(found.codes) == pytest.approx(127.5, abs=0.6)
    first.close(bench.clock.utc())
    _, second, _ = stand(tmp_path / "desk", 2000.0)
    later = known_response(panel, second, said.append).resolve(patch)
    assert later.level_basis == ASSUMED
    assert later.codes == found.codes
    assert said == []


@pytest.mark.parametrize(
    "damage",
    [{"curves_cd_m2": 3}, {"curves_cd_m2": {}}, {"geometry": None}, {"nodes": [{"hue": 1}]}, {"told": [[[]]]}],
)
def test_a_stored_response_that_is_damaged_is_said_and_left_out(tmp_path: Path, damage: dict[str, object]) -> None:
    _, first, _ = stand(tmp_path / "desk", 1460.0)
    panel = load_panel(tmp_path / "desk")
    stored = replace(assumed_response({"kind": "power", "gamma": 2.0, "peak_cd_m2": 160.0}), basis=MEASURED).to_json()
    first.session["response"] = {"full": {**stored, **damage}}
    said: list[str] = []

    resolver = known_response(panel, first, said.append)

    (sentence,) = said
    assert sentence.startswith("the response in full stored 2")
    assert " cannot be used: This is not a stored response: " in sentence
    assert next(iter(damage)) in sentence
    patch = Patch("field", Place("centre", (0.0, 0.0)), "grey", Level("cd_m2", 40.0), "full", "by-eye", "field")
    assert resolver.resolve(patch).level_basis == ASSUMED


def test_responses_that_are_no_table_are_said_and_left_out(tmp_path: Path) -> None:
    _, first, _ = stand(tmp_path / "desk", 1460.0)
    first.session["response"] = "x"
    said: list[str] = []

    known_response(load_panel(tmp_path / "desk"), first, said.append)

    (sentence,) = said
    assert sentence.startswith("the responses stored 2")
    assert sentence.endswith("cannot be used: they are no table")
