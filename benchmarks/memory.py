"""Peak memory of a real inspection at 3840 x 2160 on an X server, over a socket. Prints a table; wanted <= 400 MB."""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

from panelwear.upkeep.create import PanelSpec, new_panel
from tests.end_to_end.stand import SHORT, probe_server
from tests.screens import xvfb

SIZE = (3840, 2160)
EXTRA = """
[[steps]]
kind = "place"
at = "centre"
[[steps]]
kind = "read"
  [[steps.patches]]
  group = "checkerboard"
  codes = [200]
  columns = 7
  rows = 5
  [[steps.patches]]
  group = "window"
  cd_m2 = [20]
  share = 0.1
  between_codes = true
"""


def resident_mb(pid: int, key: str) -> float:
    text = Path(f"/proc/{pid}/status").read_text()
    line = next(line for line in text.splitlines() if line.startswith(key))
    return int(line.split()[1]) / 1024


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        new_panel(folder / "harbour-desk", PanelSpec("harbour-desk", *SIZE, (596.7, 335.7)))
        head, tail = SHORT.split('[[steps]]\nkind = "close-look"')
        (folder / "long.toml").write_text(f'{head}{EXTRA}[[steps]]\nkind = "close-look"{tail}', encoding="utf-8")
        with (
            xvfb(*SIZE) as display,
            probe_server(display, "--values", "screen", "--transport", "tcp") as url,
        ):
            words = ["inspect", str(folder / "harbour-desk"), "--hours", "0", "--yes", "--probe", url]
            words += ["--instrument", "scpi-colorimeter", "--sequence", str(folder / "long.toml")]
            process = subprocess.Popen([sys.executable, "-m", "panelwear", *words], env=display.environment())
            peak = 0.0
            while process.poll() is None:
                try:
                    peak = max(peak, resident_mb(process.pid, "VmHWM"))
                except (OSError, StopIteration):
                    break
                time.sleep(0.05)
            code = process.wait()
    print(f"{'inspection at 3840 x 2160':<28}{peak:>8.0f} MB peak resident   exit code {code}")


if __name__ == "__main__":
    main()
