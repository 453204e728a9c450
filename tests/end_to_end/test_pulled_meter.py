"""The meter's cable is pulled in mid-run, or another meter is plugged in: the run is held, and loses nothing."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import pytest

from panelwear.folder import checkpoint
from panelwear.readings.row import Row
from panelwear.upkeep.check import check
from probe_io import instrument_file
from tests.end_to_end.stand import Desk, desk, probe_server
from tests.screens import Program

pytestmark = [pytest.mark.screen, pytest.mark.skipif(os.name != "posix", reason="pseudo-terminals need POSIX")]

LEVELS = (40, 80, 120, 160)


@pytest.fixture
def stand(tmp_path: Path) -> Iterator[Desk]:
    with desk(tmp_path) as made:
        yield made


class Port:
    """The port the meter hangs on: a name that leads to whichever pseudo-terminal is plugged in."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / "port"

    def plug(self, url: str) -> None:
        new = self.path.with_name("new-port")
        new.symlink_to(url)
        new.replace(self.path)


@contextmanager
def meter(stand: Desk, port: Port, serial: str, *options: str) -> Iterator[None]:
    """Have a meter on the port; at the end its cable is pulled."""
    given = ("--values", "screen", "--transport", "pty", "--serial", serial, *options)
    with probe_server(stand.display, *given, dwell=True) as url:
        port.plug(url)
        yield


def words(stand: Desk, port: Port) -> tuple[str, ...]:
    return (*stand.inspect(str(port.path)), "--sequence", str(stand.folder.parent / "short.toml"))


@contextmanager
def pulled(stand: Desk, port: Port) -> Iterator[Program]:
    """Run an inspection, and pull the meter's cable while the first level of the ramp is read."""
    with ExitStack() as cable:
        cable.enter_context(meter(stand, port, "0042"))
        with stand.running(*words(stand, port)) as run:
            run.wait_shown("window")
            run.wait_shown("window")
            cable.close()
            yield run


def good(stand: Desk) -> list[Row]:
    return [
        row for row in stand.rows() if row.Y_cd_m2 is not None and row.purpose not in {"settling", "warm-up", "control"}
    ]


def follow_gamma(rows: list[Row]) -> bool:
    """Tell whether every reading of the ramp has the light of its own code."""
    ramp = {level: [row.Y_cd_m2 or 0.0 for row in rows if f"/c{level}/" in row.patch] for level in LEVELS}
    peak = max(ramp[160])
    return all(abs(Y / peak / (level / 160) ** 2.2 - 1) < 0.15 for level, found in ramp.items() for Y in found)


def ended_well(stand: Desk, run: Program) -> None:
    code, said = run.finish(200)
    assert (code, said) == (0, "")
    rows = good(stand)
    assert len({(row.step, row.repeat) for row in rows}) == len(rows) == 26
    assert follow_gamma(rows)
    assert check(stand.folder).problems == ()


@pytest.mark.slow
def test_a_pulled_meter_is_waited_for_and_the_run_goes_on_from_its_patch(stand: Desk, tmp_path: Path) -> None:
    port = Port(tmp_path)
    with pulled(stand, port) as run:
        assert "Connect the meter again" in run.wait_for("the run is held: ")
        with meter(stand, port, "0042"):
            run.wait_for("the meter answers again")
            run.wait_for("steady again")
            ended_well(stand, run)

    lost = [row for row in stand.rows() if row.Y_cd_m2 is None]
    assert [("the meter was away for" in row.note, row.patch) for row in lost] == [(True, "window/centre/grey/c40/w10")]
    (away,) = checkpoint.find(stand.folder, None).session["meter_away"]
    assert (away["from_row"], away["link"]) == (lost[0].row, str(port.path))


@pytest.mark.slow
def test_another_meter_is_never_gone_on_with_by_itself(stand: Desk, tmp_path: Path) -> None:
    port = Port(tmp_path)
    with pulled(stand, port) as run:
        run.wait_for("the run is held: ")
        with meter(stand, port, "0099"):
            said = run.wait_for("the run stays held: ")
        assert "SIMULATED 0099" in said
        assert "SIMULATED 0042" in said
        with meter(stand, port, "0042"):
            run.wait_for("the meter answers again")
            ended_well(stand, run)

    assert "other_meters" not in checkpoint.find(stand.folder, None).session


@pytest.mark.slow
@pytest.mark.parametrize("how", ["Escape", "Ctrl-C"])
def test_a_held_run_is_left_with_everything_stored(stand: Desk, tmp_path: Path, how: str) -> None:
    port = Port(tmp_path)
    with pulled(stand, port) as run:
        run.wait_for("the run is held: ")
        run.wait_for("PAGE The meter does not answer")
        if how == "Escape":
            stand.display.key("Escape")
        else:
            run.process.send_signal(signal.SIGINT)
        code, said = run.finish()
    stored = len(stand.rows())
    assert code == 1
    assert f"'panelwear resume {stand.folder}' goes on, {stored} readings are stored" in said

    with meter(stand, port, "0042"):
        code, told = stand.run("resume", str(stand.folder), "--yes")
    assert code == 0, told
    assert len(good(stand)) == 26
    assert follow_gamma(good(stand))


@pytest.mark.slow
def test_a_meter_that_is_exchanged_without_a_gap_is_found_at_the_next_visit(stand: Desk, tmp_path: Path) -> None:
    port = Port(tmp_path)
    with meter(stand, port, "0042", "--fault", "other-serial@8x0"), stand.running(*words(stand, port)) as run:
        said = run.wait_for("the run is held: ")
        assert "SIMULATED 0099 answers, and before it was SIMULATED 0042" in said
        run.wait_for("the run stays held: ")
        run.process.send_signal(signal.SIGINT)
        code, errors = run.finish()

    assert code == 1
    assert "resume" in errors
    assert {row.visit for row in stand.rows()} == {1}


@pytest.mark.slow
def test_a_late_answer_without_a_question_for_the_step_shifts_nothing(stand: Desk, tmp_path: Path) -> None:
    """The answer of the sixth reading comes 6 s late, and the instrument file has no ``[resync]``."""
    plain = (instrument_file.SHIPPED / "plain-lines.toml").read_text(encoding="utf-8")
    (tmp_path / "mute.toml").write_text(plain[: plain.index("[resync]")], encoding="utf-8")
    port = Port(tmp_path)
    late = ("--dialect", "plain-lines", "--fault", "delay:6@6")
    sequence = ("--sequence", str(tmp_path / "short.toml"))
    with meter(stand, port, "0042", *late):
        code, said = stand.run(*stand.inspect(str(port.path), *sequence, dialect=str(tmp_path / "mute.toml")))

    assert code == 0, said
    assert "is read before anything is believed" in said
    rows = stand.rows()
    assert [row.patch.split("/")[0] for row in rows if row.purpose == "control"] == ["control"]
    assert [row.row for row in rows if row.Y_cd_m2 is None] == [6]
    assert follow_gamma(good(stand))


def returns_when_asked(run: Program, times: int) -> None:
    """Press Return at the terminal at each prompt that is to be confirmed."""
    for _ in range(times):
        run.wait_for("LISTENS", 200.0)
        run.answer("")


@pytest.mark.slow
def test_a_person_resumes_with_a_short_watch_and_goes_on_with_another_meter(stand: Desk, tmp_path: Path) -> None:
    """The warm-up of the test is far too short to end steady, so that it did is written into the record by hand."""
    short = tmp_path / "short.toml"
    short.write_text(short.read_text(encoding="utf-8").replace("read = false", "read = true"), encoding="utf-8")
    port = Port(tmp_path)
    with pulled(stand, port) as run:
        run.wait_for("the run is held: ")
        run.process.send_signal(signal.SIGINT)
        assert run.finish()[0] == 1
    found = checkpoint.find(stand.folder, None)
    found.session["warm_up"]["verdict"] = "settled"
    found.save()

    with ExitStack() as cable:
        cable.enter_context(meter(stand, port, "0042"))
        with stand.running("resume", str(stand.folder), "--warm-up", "auto") as run:
            returns_when_asked(run, 1)
            run.wait_for("The session was interrupted for ")
            run.wait_for("LISTENS")
            stand.display.key("y")
            run.wait_for("warm-up: watched until steady (a person says that the panel stayed lit)")
            returns_when_asked(run, 2)  # how the probe is put on, and where
            run.wait_for("steady again: ")
            run.wait_shown("window")
            cable.close()
            run.wait_for("the run is held: ")
            with meter(stand, port, "0099"):
                run.wait_for("The meter that answers is SIMULATED 0099; so far in this session it was SIMULATED 0042")
                run.wait_for("LISTENS")
                run.answer("go on with this one")
                run.wait_for("the meter answers again")
                returns_when_asked(run, 2)  # the second place, and the end
                code, said = run.finish(200)
    assert (code, said) == (0, "")
    assert not any("SHOWN warm-up" in line for line in run.lines)
    session = checkpoint.find(stand.folder, None).session
    assert session["warm_up_resumed"][0]["how"] == "watched until steady"
    (other,) = session["other_meters"]
    by_other = [row.row >= other["from_row"] for row in stand.rows()]
    assert ["other-meter" in row.flags.split() for row in stand.rows()] == by_other
    assert any(by_other)
    assert not all(by_other)
