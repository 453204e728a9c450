"""A monitor that changes in mid-run: held with a sentence, proved again, left without a fault."""

from __future__ import annotations

import os
import signal
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.end_to_end.stand import Desk, desk, probe_server
from tests.end_to_end.test_foreign_light import STEPS, follows_gamma, foreign, words
from tests.screens import need

pytestmark = [pytest.mark.screen, pytest.mark.skipif(os.name != "posix", reason="pseudo-terminals need POSIX")]

SMALL = ("10", "320", "330", "340", "350", "240", "243", "246", "250")
CHANGES = {
    "colour table": ("--gamma", "1:1:0.7"),
    "mode": ("--mode", "small"),
}
BACK = {"colour table": ("--gamma", "1:1:1"), "mode": ("--mode", "640x360")}


def xrandr(stand: Desk, *given: str) -> None:
    subprocess.run(["xrandr", *given], env=stand.display.environment(), check=True, timeout=60)


@pytest.fixture
def stand(tmp_path: Path) -> Iterator[Desk]:
    need("xrandr")
    with desk(tmp_path) as made:
        (tmp_path / "many.toml").write_text(STEPS, encoding="utf-8")
        xrandr(made, "--newmode", "small", *SMALL)
        xrandr(made, "--addmode", "screen", "small")
        yield made


@pytest.mark.slow
@pytest.mark.parametrize("what", CHANGES)
def test_a_change_in_mid_run_is_held_until_all_is_as_it_was(stand: Desk, what: str) -> None:
    with (
        probe_server(stand.display, "--values", "screen", "--transport", "pty", dwell=True) as url,
        stand.running(*words(stand, url)) as run,
    ):
        run.wait_cautions()
        run.wait_shown("field")
        xrandr(stand, "--output", "screen", *CHANGES[what])
        sentence = run.wait_for("the graphics card's" if what == "colour table" else "the monitor's mode")
        xrandr(stand, "--output", "screen", *BACK[what])
        code, said = run.finish(200)

    assert "readings go on by themselves" in sentence
    assert (code, said) == (0, "")
    rows = stand.rows()
    assert foreign(rows) == []
    assert follows_gamma(rows)
    assert sum(row.flags in {"ok", "retried"} for row in rows) == 16


@pytest.mark.slow
@pytest.mark.parametrize("what", CHANGES)
def test_a_run_that_is_left_while_the_monitor_is_another_is_told_so_by_resume(stand: Desk, what: str) -> None:
    with probe_server(stand.display, "--values", "screen", "--transport", "pty", dwell=True) as url:
        with stand.running(*words(stand, url)) as run:
            run.wait_cautions()
            run.wait_shown("field")
            xrandr(stand, "--output", "screen", *CHANGES[what])
            run.wait_for("the graphics card's" if what == "colour table" else "the monitor's mode")
            run.process.send_signal(signal.SIGINT)
            code, said = run.finish(60)
        assert code == 1
        assert "resume" in said and "X Error" not in said and "Traceback" not in said
        if what == "mode":
            xrandr(stand, "--output", "screen", *BACK[what])
        code, told = stand.run("resume", str(stand.folder), "--yes", "--probe", url)

    assert code == 0, told
    if what == "colour table":
        assert "the graphics card's colour table is another than when this session began" in told
    assert "interrupted" in told
    assert sum(row.flags in {"ok", "retried"} for row in stand.rows()) == 16
