"""A simulated probe on a real X screen."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator

import pytest

from panelwear.errors import ScreenFault
from panelwear.simulation.probe import ProbeModel
from panelwear.simulation.screen_light import ScreenLight, grab

PERFECT = ProbeModel(0.0, 0.0, 0.0, 0.0, 0.0, 10.0, placement_mm=0.0)


@pytest.fixture
def display() -> Iterator[str]:
    if shutil.which("Xvfb") is None or shutil.which("xsetroot") is None:
        if os.environ.get("CI"):
            pytest.fail("Xvfb and xsetroot are wanted on CI")
        pytest.skip("needs Xvfb and xsetroot")
    read_end, write_end = os.pipe()
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(write_end), "-screen", "0", "640x360x24", "-nolisten", "tcp", "-noreset"],
        pass_fds=[write_end],
        stderr=subprocess.DEVNULL,
    )
    os.close(write_end)
    try:
        number = os.read(read_end, 16).decode().strip()
        yield f":{number}"
    finally:
        os.close(read_end)
        server.terminate()
        server.wait(10)


def paint(display: str, colour: str) -> None:
    subprocess.run(["xsetroot", "-display", display, "-solid", colour], check=True)


@pytest.mark.screen
def test_it_reads_what_the_display_server_holds(display: str) -> None:
    paint(display, "#ffffff")
    assert (grab(display) == 255).all()
    light = ScreenLight(display, (320, 180), probe=PERFECT)
    white = light(1.0)
    assert white[1] == pytest.approx(288, rel=0.01)  # the limiter at a full field
    paint(display, "#0000ff")
    blue = light(1.0)
    assert blue[1] < 0.1 * white[1]
    assert blue[2] > 5 * blue[1]
    paint(display, "#000000")
    assert light(1.0)[1] < 0.01


@pytest.mark.screen
def test_an_older_panel_is_darker_and_the_probe_can_be_moved(display: str) -> None:
    paint(display, "#808080")
    new, old = (ScreenLight(display, (64, 180), hours=h, probe=PERFECT) for h in (0.0, 4400.0))
    assert old(1.0)[1] < 0.95 * new(1.0)[1]
    at_list = old(1.0)[1]
    old.put((320, 180))
    assert old(1.0)[1] > at_list  # away from the vessel list


def test_a_display_that_is_not_there_is_said_in_a_sentence() -> None:
    with pytest.raises(ScreenFault, match="X display ':9876' cannot be looked at"):
        grab(":9876")
