"""The report in headless Chromium: no console message, no request, no sideways scrolling, A4, light and dark."""

from __future__ import annotations

import json
import re
import subprocess
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from panelwear.simulation import rehearsal
from tests.panelwear.report import desk
from tests.screens import PATIENCE_S, need
from tests.scripts import script

WIDTHS = (360, 800, 1400)
MEASURE = """<script>addEventListener("load", () => {
  const edge = document.querySelector("main").getBoundingClientRect().right + 1;
  const wide = [...document.querySelectorAll("main *")].filter(e => e.getBoundingClientRect().right > edge);
  const broken = [...document.images].filter(i => !(i.complete && i.naturalWidth > 0)).length;
  const told = {inner: innerWidth, scroll: document.documentElement.scrollWidth, images: document.images.length, broken,
                wide: wide.slice(0, 5).map(e => e.tagName + ": " + e.textContent.slice(0, 40))};
  parent.postMessage(JSON.stringify(told), "*");
});</script>"""
FRAME = """<!doctype html><style>body {{margin: 0}} iframe {{border: 0; width: {width}px; height: 900px}}</style>
<script>addEventListener("message", e => document.documentElement.setAttribute("data-told", e.data))</script>
<iframe src="ruled.html"></iframe>"""


@dataclass(frozen=True, slots=True)
class Browser:
    """Runs Chromium anew for each look, with a profile of its own."""

    home: Path

    def look(self, page: Path, *words: str) -> subprocess.CompletedProcess[str]:
        """Open a page once and return what was said."""
        profile = self.home / f"profile-{len(list(self.home.iterdir()))}"
        profile.mkdir()
        command = [
            "chromium", "--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking",
            "--disable-component-update", "--no-first-run", f"--user-data-dir={profile}", "--hide-scrollbars",
            "--host-resolver-rules=MAP * ~NOTFOUND", "--enable-logging=stderr", *words, page.as_uri(),
        ]  # fmt: skip
        return subprocess.run(command, capture_output=True, text=True, timeout=PATIENCE_S, check=True)

    def log(self, page: Path) -> tuple[list[str], list[str]]:
        """Return console lines, and the addresses the page made the browser ask for."""
        net = self.home / f"{page.stem}-net.json"
        done = self.look(page, f"--log-net-log={net}", "--dump-dom")
        console = [line for line in done.stderr.splitlines() if "CONSOLE" in line]
        events = json.loads(net.read_text(encoding="utf-8"))["events"]
        asked = [str(e["params"]["url"]) for e in events if "url" in e.get("params", {})]
        return console, asked


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Browser:
    need("chromium")
    return Browser(tmp_path_factory.mktemp("chromium"))


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("page") / "report.html"
    path.write_text(desk.page(*desk.HOURS), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def printed(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Print a report of all checkpoints of a rehearsal."""
    path = tmp_path_factory.mktemp("printed") / "report.html"
    path.write_text(desk.page(*rehearsal.HOURS), encoding="utf-8")
    target = path.with_suffix(".pdf")
    browser.look(path, "--no-pdf-header-footer", f"--print-to-pdf={target}")
    return target


@pytest.mark.slow
def test_the_watch_sees_a_request_and_a_console_message(browser: Browser, tmp_path: Path) -> None:
    bad = tmp_path / "bad.html"
    bad.write_text('<img src="http://pictures.invalid/x.png"><script>console.error("seen")</script>', encoding="utf-8")
    console, asked = browser.log(bad)
    assert any("seen" in line for line in console)
    assert any("pictures.invalid" in url for url in asked)


def test_it_says_nothing_on_the_console_and_asks_for_nothing(browser: Browser, page: Path, tmp_path: Path) -> None:
    blank = tmp_path / "blank.html"
    blank.write_text("<!doctype html><title>blank</title>", encoding="utf-8")
    _, by_itself = browser.log(blank)
    console, asked = browser.log(page)
    assert console == []
    hosts = {re.sub(r"^(\w+://[^/]*).*", r"\1", url) for url in asked if url.startswith(("http", "ws", "ftp"))}
    own = {re.sub(r"^(\w+://[^/]*).*", r"\1", url) for url in by_itself}
    assert hosts <= own  # what the browser asks for with an empty page is its own business


@pytest.mark.parametrize("width", WIDTHS)
def test_it_fits_the_width_and_every_picture_is_drawn(browser: Browser, page: Path, tmp_path: Path, width: int) -> None:
    # A copy with a ruler in it: the report itself lets no script run.
    ruled = tmp_path / "ruled.html"
    source = page.read_text(encoding="utf-8")
    ruled.write_text(
        re.sub(r"<meta http-equiv=\"Content-Security-Policy\"[^>]*>", MEASURE, source, count=1), encoding="utf-8"
    )
    # A window of Chromium is at least 500 px wide; a frame can be any width.
    frame = tmp_path / "frame.html"
    frame.write_text(FRAME.format(width=width), encoding="utf-8")
    dom = browser.look(frame, f"--window-size={width},900", "--virtual-time-budget=5000", "--dump-dom").stdout
    found = re.search(r'data-told="([^"]*)"', dom)
    assert found
    told = json.loads(found[1].replace("&quot;", '"').replace("&amp;", "&"))
    assert told["inner"] == width
    assert told["scroll"] <= width
    assert told["wide"] == []  # nor does anything reach out of the page's own margins
    assert told["images"] == 10
    assert told["broken"] == 0


@pytest.mark.slow
def test_dark_is_dark_and_light_is_light(browser: Browser, page: Path, tmp_path: Path) -> None:
    shots = []
    for name, words in (("light", ()), ("dark", ("--blink-settings=preferredColorScheme=0",))):
        target = tmp_path / f"{name}.png"
        browser.look(page, "--window-size=900,6000", f"--screenshot={target}", *words)
        shots.append(np.asarray(Image.open(target).convert("L"), dtype=float))
    light, dark = shots
    assert np.median(light) > 245
    assert np.median(dark) < 40
    # Dark is drawn dark: not even the pictures leave large bright patches.
    assert (dark > 200).mean() < 0.1
    assert light.std() > 10
    assert dark.std() > 10


def test_a_rehearsal_prints_on_six_pages_of_a4(printed: Path) -> None:
    pdf = printed.read_bytes()
    boxes = {tuple(float(v) for v in m.split()) for m in re.findall(rb"/MediaBox \[([^\]]*)\]", pdf)}
    assert len(boxes) == 1
    x, y, wide, high = boxes.pop()
    assert (x, y) == (0, 0)
    assert wide == pytest.approx(210 / 25.4 * 72, abs=1)  # ISO 216: A4 is 210 mm x 297 mm
    assert high == pytest.approx(297 / 25.4 * 72, abs=1)
    assert 3 <= len(re.findall(rb"/Type /Page\b(?!s)", pdf)) <= 6


def test_no_printed_letter_is_under_eight_points(printed: Path) -> None:
    need("pdftohtml")
    # Three times as large as on paper, which is the most there is, so that whole sizes tell thirds of a point.
    command = ["pdftohtml", "-xml", "-zoom", "3", "-i", "-stdout", str(printed)]
    told = subprocess.run(command, capture_output=True, text=True, check=True, timeout=PATIENCE_S).stdout
    sizes = {m[1]: int(m[2]) / 3 for m in re.finditer(r'<fontspec id="(\d+)" size="(\d+)"', told)}
    used = {sizes[m[1]]: m[2] for m in re.finditer(r'<text [^>]*font="(\d+)">(.*?)</text>', told)}
    assert len(used) >= 4
    assert min(used) >= 8, used[min(used)]


def test_the_first_screen_can_be_had_as_a_picture_at_twice_the_pixels(browser: Browser, page: Path) -> None:
    taken = script("make_report_pictures").first_screen(page, browser.home / "first.png")
    with Image.open(taken) as image:
        assert image.size == (2800, 1800)
        ground, *inks = sorted(image.convert("RGB").getcolors(2800 * 1800), reverse=True)
    assert ground[1] == (255, 255, 255)
    assert len(inks) > 20  # an empty page has none
