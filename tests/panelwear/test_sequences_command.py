"""``panelwear sequences``: what a person reads before choosing."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from panelwear.cli import main
from sequences.reader import SHIPPED, shipped

PANEL = """
name = "harbour-desk"
pixels = [1280, 720]
active_area_mm = [596, 335]

[response]
kind = "power"
peak_cd_m2 = 400

[[zones]]
name = "chart"
rect_px = [256, 0, 1024, 720]
probe_at_px = [640, 360]

[[zones]]
name = "vessel-list"
rect_px = [0, 0, 256, 720]
reference = "chart"
"""


def output(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert main(["sequences", *words]) == 0
    return capsys.readouterr().out


def row(text: str, name: str) -> list[str]:
    return next(line for line in text.splitlines() if line.startswith(f"  {name} ")).split()


def test_all_shipped_sequences_are_listed_with_their_figures(capsys: pytest.CaptureFixture[str]) -> None:
    text = output(capsys)
    for name in shipped():
        patches, holds, placements, minutes, warm_up, dose = row(text, name)[1:]
        assert int(patches) + int(holds) > 10
        assert int(placements) >= (1 if int(patches) else 0)
        assert float(minutes) < 60
        assert float(warm_up) == {"by-eye": 0, "ten-minutes": 5}.get(name, 20)
        assert 0 < float(dose) < 1
    assert text.splitlines()[2].split()[-1] == "dose"
    assert text.splitlines()[3].split() == ["min", "min", "h"]
    assert "Estimates assume a panel" in text


def test_one_sequence_is_printed_step_by_step(capsys: pytest.CaptureFixture[str]) -> None:
    text = output(capsys, "spot")
    numbers = [int(found) for found in re.findall(r"^ ?(\d+)  \S", text, flags=re.MULTILINE)]
    assert numbers[:-1] == list(range(1, len(numbers)))
    assert "read loading/centre/grey/c255/w100" in text
    assert "light dose: as 0." in text


def test_a_panel_folder_brings_its_pixels_zones_and_peak(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "panel.toml").write_text(PANEL, encoding="utf-8")
    text = output(capsys, "zones", "--panel", str(tmp_path))
    assert "panel 'harbour-desk'" in text
    assert "move the probe to vessel-list, place 2 of 3 (128, 360 px)" in text
    bright = row(output(capsys, "--panel", str(tmp_path)), "spot")[6]
    assert float(bright) > float(row(output(capsys), "spot")[6])


def test_notes_of_what_is_left_out_are_printed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "panel.toml").write_text(PANEL.split("[[zones]]", maxsplit=1)[0], encoding="utf-8")
    assert "note: panel.toml names no zones" in output(capsys, "checkpoint", "--panel", str(tmp_path))
    assert "panel.toml names no zones" in output(capsys, "--panel", str(tmp_path))


def test_the_seed_changes_the_order_only(capsys: pytest.CaptureFixture[str]) -> None:
    def keys(seed: str) -> list[str]:
        return re.findall(r"read (\S+/\S+)", output(capsys, "checkpoint", "--seed", seed))

    assert keys("1") == keys("1")
    assert keys("1") != keys("2")
    assert sorted(keys("1")) == sorted(keys("2"))


def test_a_bad_file_ends_with_all_its_faults_and_code_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "mine.toml"
    path.write_text((SHIPPED / "spot.toml").read_text("utf-8").replace("settle_s", "setle_s"), encoding="utf-8")
    assert main(["sequences", str(path)]) == 2
    said = capsys.readouterr().err
    assert "mine.toml: reading.setle_s: unknown key; did you mean 'settle_s'?" in said
    assert "mine.toml: dark.setle_s: unknown key; did you mean 'settle_s'?" in said


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["spto"], "spto: there is no such sequence and no such file; did you mean 'spot'?"),
        (["--size", "big"], "--size big: write width x height in pixels"),
        (["--size", "0x5"], "--size 0x5: write width x height in pixels"),
        (["--size", "1280x720", "--panel", "."], "--panel and --size exclude each other"),
    ],
)
def test_bad_words_end_with_a_sentence(words: list[str], sentence: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["sequences", *words]) == 2
    assert sentence in capsys.readouterr().err


def test_help_imports_nothing_heavy() -> None:
    program = (
        "import sys; from panelwear.cli import main\n"
        "try:\n    main(['sequences', '--help'])\nexcept SystemExit:\n    pass\n"
        "print([m for m in ('numpy', 'pygame', 'colour', 'scipy', 'sequences', 'patterns') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip().endswith("[]")
