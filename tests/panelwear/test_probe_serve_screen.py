"""A simulated meter that looks at a real X screen, in a process of its own, over a real pseudo-terminal."""

import os
import shutil
import subprocess
import sys

import pytest

from probe_io.instrument_file import find
from probe_io.serial_probe import SerialProbe

pytestmark = [
    pytest.mark.screen,
    pytest.mark.skipif(
        not (shutil.which("Xvfb") and shutil.which("xsetroot")) and "CI" not in os.environ,
        reason="needs Xvfb and xsetroot",
    ),
]


@pytest.fixture
def display():
    read_end, write_end = os.pipe()
    # Without -noreset the server forgets what was painted as soon as nobody looks at it.
    command = ["Xvfb", "-displayfd", str(write_end), "-screen", "0", "640x360x24", "-noreset"]
    process = subprocess.Popen(command, pass_fds=[write_end], stderr=subprocess.DEVNULL)
    os.close(write_end)
    try:
        with os.fdopen(read_end) as pipe:
            yield f":{pipe.readline().strip()}"
    finally:
        process.terminate()
        process.wait()


def paint(display, colour):
    subprocess.run(["xsetroot", "-display", display, "-solid", colour], check=True, timeout=60)


def test_the_meter_sees_what_the_display_server_holds(display):
    command = [sys.executable, "-m", "panelwear", "probe", "serve", "--values", "screen", "--display", display]
    command += ["--transport", "pty", "--no-dwell", "--aperture", "10"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    try:
        assert process.stdout is not None
        probe = SerialProbe(find("scpi-colorimeter"), process.stdout.readline().removeprefix("url: ").strip())
        probe.open()
        found = {}
        for colour in ("black", "white", "red"):
            paint(display, colour)
            found[colour] = probe.measure()
        probe.close()
    finally:
        process.terminate()
        process.communicate(timeout=30)
    black, white, red = (found[name] for name in ("black", "white", "red"))
    assert white.Y_cd_m2 > 50.0
    assert black.Y_cd_m2 < 0.1
    assert red.Y_cd_m2 < white.Y_cd_m2
    assert red.X_cd_m2 / red.Y_cd_m2 > white.X_cd_m2 / white.Y_cd_m2
