"""The whole program on a real X server, a simulated meter looking at its pixels: kills, pop-ups, the cable pulled."""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

from benchmarks.support.fault_counts import BELIEVED, Counts, is_traceback
from panelwear.errors import PanelwearError, ProbeFault, ScreenFault
from panelwear.readings.row import Row
from panelwear.upkeep.create import PanelSpec, new_panel
from tests.end_to_end.stand import Desk, desk, probe_server
from tests.end_to_end.test_foreign_light import STEPS, WHOLE, follows_gamma, foreign, words
from tests.popups import popping_up
from tests.screens import PATIENCE_S, Program, two_heads

READINGS = 16
"""Four patches, four readings each."""
RUN_S = 200.0


def judged(rows: list[Row], ended: list[tuple[int, str]], wanted: tuple[int, ...], in_time: bool = True) -> Counts:
    """Judge the rows of an inspection that was disturbed, and how its commands ended.

    Args:
        rows: as stored at the end.
        ended: exit code and words of every command.
        wanted: exit codes that the fault allows, besides 0 of the last.
        in_time: every command ended by itself.
    """
    believed = [row for row in rows if row.flags in BELIEVED and row.Y_cd_m2 is not None]
    return Counts(
        tries=1,
        lost=max(0, READINGS - len(believed)),
        mispaired=len(foreign(rows)) + int(len(believed) >= READINGS and not follows_gamma(rows)),
        stuck=int(not in_time or not ended or ended[-1][0] != 0),
        tracebacks=sum(is_traceback(code, said) or code not in (*wanted, 0) for code, said in ended),
    )


@contextmanager
def _meter(stand: Desk, *options: str) -> Iterator[str]:
    with probe_server(stand.display, "--values", "screen", "--transport", "pty", *options, dwell=True) as url:
        yield url


@contextmanager
def _desk() -> Iterator[Desk]:
    with tempfile.TemporaryDirectory() as place, desk(Path(place)) as made:
        (Path(place) / "many.toml").write_text(STEPS, encoding="utf-8")
        yield made


def _rows(stand: Desk) -> list[Row]:
    try:
        return stand.rows()
    except PanelwearError:
        return []


def _ended(run: Program) -> tuple[tuple[int, str], bool]:
    """Wait for a run to end; what it said, and whether it ended by itself."""
    try:
        code, said = run.finish(RUN_S)
    except subprocess.TimeoutExpired:
        return (-signal.SIGKILL, ""), False
    return (code, "\n".join([*run.drain(), said])), True


def _begun(run: Program) -> None:
    run.wait_cautions()
    run.wait_shown("field")


def killed(tries: int, seed: int) -> Counts:
    """Kill the program anywhere between its first patch and its end, and resume."""
    draw, found = random.Random(seed), Counts()
    for _ in range(tries):
        with _desk() as stand, _meter(stand) as url:
            with stand.running(*words(stand, url)) as run:
                _begun(run)
                time.sleep(draw.uniform(0.0, 12.0))
                run.process.kill()
                run.process.wait(PATIENCE_S)
            found += _gone_on(stand, url, [], True)
    return found


def _gone_on(stand: Desk, url: str, ended: list[tuple[int, str]], in_time: bool, *options: str) -> Counts:
    """Resume where readings are owed, and judge."""
    believed = sum(row.flags in BELIEVED for row in _rows(stand))
    if believed < READINGS or not ended or ended[-1][0] != 0:
        ended = [*ended, stand.run("resume", str(stand.folder), "--yes", "--probe", url, *options)]
        if "nothing was interrupted" in ended[-1][1] and believed == READINGS:
            ended[-1] = (0, ended[-1][1])  # it was through when it was killed
    allowed = (-signal.SIGKILL, ScreenFault.exit_code, ProbeFault.exit_code)
    found = judged(_rows(stand), ended, allowed, in_time)
    if found.wrong:
        told = "\n".join(f"exit code {code}: {said[-2000:]}" for code, said in ended)
        print(f"{found}\n{told}", file=sys.stderr, flush=True)
    return found


def popped_up(tries: int, seed: int) -> Counts:
    """Have other windows come over the patches, for a moment or for long, while they are read."""
    draw, found = random.Random(seed), Counts()
    for _ in range(tries):
        up_s = draw.choice((0.05, 0.25, 1.5, 4.0))
        with (
            _desk() as stand,
            _meter(stand) as url,
            popping_up(stand.display, WHOLE, up_s=up_s, between_s=draw.uniform(0.5, 3.5), times=4) as others,
            stand.running(*words(stand, url)) as run,
        ):
            _begun(run)
            others.communicate("\n", timeout=100)
            ended, in_time = _ended(run)
            # With nobody there a run ends after three readings in a row that were disturbed, and says to resume.
            found += _gone_on(stand, url, [ended], in_time)
    return found


def unplugged(tries: int, seed: int) -> Counts:
    """Pull the cable of the monitor under inspection on a server of two, plug it in again, and go on."""
    draw, found = random.Random(seed), Counts()
    for _ in range(tries):
        with tempfile.TemporaryDirectory() as place, two_heads() as display:
            stand = Desk(Path(place) / "harbour-desk", display)
            new_panel(stand.folder, PanelSpec("harbour-desk", *display.heads[0][2:], (596.7, 335.7)))
            (Path(place) / "many.toml").write_text(STEPS, encoding="utf-8")
            with _meter(stand, "--at", "960,540") as url:
                found += _pulled(stand, url, draw.uniform(0.0, 6.0), draw.uniform(0.5, 6.0))
    return found


def _pulled(stand: Desk, url: str, after_s: float, away_s: float) -> Counts:
    asked = _xrandr(stand, "--query")
    output = next(line.split()[0] for line in asked.splitlines() if "1920x1080+0+0" in line)
    with stand.running(*words(stand, url)) as run:
        _begun(run)
        time.sleep(after_s)
        _xrandr(stand, "--output", output, "--off")
        time.sleep(away_s)
        _xrandr(stand, "--output", output, "--mode", "test-1920x1080", "--pos", "0x0", "--primary")
        _xrandr(stand, "--query")
        ended, in_time = _ended(run)
    return _gone_on(stand, url, [ended], in_time)


def _xrandr(stand: Desk, *given: str) -> str:
    environment = stand.display.environment()
    done = subprocess.run(["xrandr", *given], env=environment, check=True, timeout=60, capture_output=True, text=True)
    return done.stdout


def rows(quick: bool, seed: int) -> Iterator[tuple[str, str, Callable[[], Counts]]]:
    """Yield the rows of the real screen: group, what, and how it is counted."""
    yield "kills", "the whole program killed on a real screen", partial(killed, 1 if quick else 8, seed)
    yield "popups", "other windows over the patches", partial(popped_up, 1 if quick else 8, seed)
    yield "unplug", "the monitor unplugged, of two", partial(unplugged, 1 if quick else 5, seed)
