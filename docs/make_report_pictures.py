"""Make pictures of a real report's first screen: ``python docs/make_report_pictures.py PANEL_FOLDER OUT_FOLDER``.

The program writes the report of the panel folder, and headless Chromium shows it at twice the pixels, sharp enough for
a README: ``report.png``. Every number on it is the one ``panelwear report`` gives for that folder.
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
import tempfile
from pathlib import Path

from PIL import Image

from panelwear.report.build import write_report

WIDTH_PX, HEIGHT_PX = 1400, 900
SCALE = 2
NO_BROWSER = "Chromium is not installed: it takes the picture of the report (on Debian: apt install chromium)."
PATIENCE_S = 120


def first_screen(report: Path, target: Path, size_px: tuple[int, int] = (WIDTH_PX, HEIGHT_PX)) -> Path:
    """Take a picture of the top of a report in its light look, twice as many pixels as CSS has, and return its path.

    Args:
        report: the HTML file.
        target: the PNG to be written.
        size_px: of the window in CSS pixels.

    Raises:
        SystemExit: there is no Chromium.
        CalledProcessError: it failed.
    """
    browser = shutil.which("chromium")
    if browser is None:
        raise SystemExit(NO_BROWSER)
    with tempfile.TemporaryDirectory() as profile:
        words = [
            "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--hide-scrollbars",
            "--host-resolver-rules=MAP * ~NOTFOUND", f"--user-data-dir={profile}",
            f"--force-device-scale-factor={SCALE}", "--window-size={},{}".format(*size_px),
            f"--screenshot={target.resolve()}", report.resolve().as_uri(),
        ]  # fmt: skip
        subprocess.run([browser, *words], check=True, capture_output=True, timeout=PATIENCE_S)
    # All colours are kept: a palette would put steps into the printed scale.
    with Image.open(target) as taken:
        whole = taken.convert("RGB")
    whole.save(target, optimize=True)
    return target


def main() -> None:
    """Write the report and take its picture."""
    parser = argparse.ArgumentParser(description="Take a picture of a report's first screen at twice the pixels.")
    parser.add_argument("panel", type=Path, help="panel folder, such as a rehearsal's harbour-desk")
    parser.add_argument("out", type=Path, help="folder of the pictures")
    asked = parser.parse_args()
    asked.out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        report = write_report(asked.panel, Path(folder) / "report.html")
        first_screen(report, asked.out / "report.png")


if __name__ == "__main__":
    main()
