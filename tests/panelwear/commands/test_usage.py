"""``panelwear usage``: tell it, and see what follows."""

from __future__ import annotations

import json
import sys
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from panelwear.cli import main
from panelwear.folder import checkpoint
from panelwear.folder.hours import HoursOfUse, between
from panelwear.usage.amounts import Amount
from panelwear.usage.files import load_usage

PANEL = """name = "desk"
pixels = [400, 300]
active_area_mm = [598, 336]
[response]
kind = "power"
gamma = 2.2
peak_cd_m2 = 240
[[zones]]
name = "chart"
rect_px = [0, 0, 400, 300]
[[zones]]
name = "list"
rect_px = [0, 0, 100, 300]
"""


@pytest.fixture
def desk(tmp_path: Path) -> Path:
    (tmp_path / "panel.toml").write_text(PANEL)
    for hours, day in ((HoursOfUse(0), "2026-01-05"), (between(700, 900), "2026-04-15")):
        now = datetime.fromisoformat(f"{day}T20:00").replace(tzinfo=UTC)
        checkpoint.open_or_create(tmp_path, "desk", hours, None, now).close(now)
    return tmp_path


def said(capsys: pytest.CaptureFixture[str]) -> str:
    return " ".join(capsys.readouterr().out.split())


def doses(desk: Path, capsys: pytest.CaptureFixture[str]) -> dict[tuple[str, str], list[float]]:
    capsys.readouterr()
    assert main(["usage", str(desk), "--json"]) == 0
    tables = {one["name"]: one["rows"] for one in json.loads(capsys.readouterr().out)["tables"]}
    found: dict[tuple[str, str], list[float]] = {}
    for row in tables["doses"]:
        found.setdefault((row["zone"], row["channel"]), []).append(row["dose_h"])
    return found


def test_a_few_numbers_give_doses_with_their_band(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["usage", str(desk)]) == 0
    assert "nothing was told yet" in said(capsys)
    words = ["usage", str(desk), "--hours-a-day", "7-9", "--white", "120", "--shows", "list=255/255/255", "--shows=mid"]
    assert main(words) == 0

    told = said(capsys)

    assert "7 to 9 h a day 120 cd/m² list: drive levels 255/255/255; mid" in told
    assert "list red 2026-04-15-h800 800 700 to 900" in told
    assert "n = 1.7 (1.4 to 2.0; common practice, no source)" in told
    assert "No response was measured yet" in told
    assert doses(desk, capsys)["list", "blue"] == [0.0, 800.0]


def test_what_is_told_later_lies_over_what_was_told(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["usage", str(desk), "--white", "120", "--shows", "255/255/255"]) == 0
    assert main(["usage", str(desk), "--white", "60"]) == 2
    assert "--since WHEN: say since when" in " ".join(capsys.readouterr().err.split())
    assert main(["usage", str(desk), "--since", "2026-01-05-h0", "--white", "60"]) == 0
    assert doses(desk, capsys)["list", "red"] == [0.0, pytest.approx(800 * 0.5**1.7, rel=1e-3)]


def test_a_stretch_that_ends_before_it_begins_is_refused_and_told_where_it_stands(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["usage", str(desk), "--since", "2026-04-15-h800", "--until", "2026-01-05-h0", "--shows", "mid"]
    assert main(words) == 2
    said_then = " ".join(capsys.readouterr().err.split())
    assert "--until: 2026-01-05-h0 (2026-01-05) is not later than 2026-04-15-h800 (2026-04-15)" in said_then
    assert not (desk / "usage.toml").exists()

    (desk / "usage.toml").write_text(
        '[[stretches]]\nsince = "2026-04-15-h800"\nuntil = "2026-04-14"\nwhite_cd_m2 = 9\n'
    )
    told = (
        "usage.toml: stretches[1].until: 2026-04-14 is not later than 2026-04-15-h800 (2026-04-15), on which it begins"
    )
    assert main(["usage", str(desk)]) == 2
    assert told in said(capsys)
    assert main(["check", str(desk)]) == 2
    assert told in said(capsys)


def test_a_checkpoint_that_cannot_be_read_is_told_and_no_dose_goes_by_it(
    desk: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["usage", str(desk), "--since", "2026-04-15-h800", "--white", "120", "--shows", "mid"]) == 0
    (desk / "checkpoints" / "2026-04-15-h800" / "checkpoint.json").write_text("{")
    capsys.readouterr()

    assert main(["usage", str(desk)]) == 2

    told = said(capsys)
    assert "2026-04-15-h800/checkpoint.json: is not JSON" in told
    assert "on which day 2026-04-15-h800 was begun is not known" in told
    assert "is neither a day" not in told


def test_hours_that_disagree_are_told(desk: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["usage", str(desk), "--hours-a-day", "8", "--shows", "mid"]) == 0
    assert "were counted and" not in said(capsys)  # 100 days of 8 h
    assert main(["usage", str(desk), "--since", "always", "--hours-a-day", "3"]) == 0
    assert "700 to 900 h of use were counted and 300 h told; the doses go by the hours counted" in said(capsys)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--hours-a-day", "30"], "--hours-a-day: 30 is out of range; allowed: 0 to 24 h"),
        (["--white", "bright"], "--white: 'bright' is not a number"),
        (["--white", "100", "--peak-share", "40%"], "--peak-share: stands beside white_cd_m2"),
        (["--since", "soon", "--white", "100"], "--since: 'soon' is neither a day"),
        (["--shows", "lst=white"], "--shows: 'lst' is no zone of panel.toml; did you mean 'list'?"),
        (["--shows", "whit"], "--shows: 'whit': did you mean 'white'?"),
        (["--shows", "white", "--shows", "mid"], "--shows: shares of time of the whole panel make 2, more than 1"),
        (["--note", "x"], "nothing was told"),
        (["--white", "100", "--json"], "they go without anything to be kept"),
        (["--table", "gone.csv"], "gone.csv: cannot be read"),
        (["--table", "gone.csv", "--white", "3"], "leave the other options out"),
        (["--screenshots", "gone"], "gone: cannot be read"),
        (["--csv", "dose"], "there is no such table; there are doses, hours, stretches"),
        (["--out", "x.csv"], "name the table too"),
        (["--json", "--csv", "doses"], "give one of the two"),
        (["--csv", ""], "there is no such table"),
        (
            ["--shows", "white 90"],
            "'white 90': 90 is out of range; allowed: 0 to 1, or with a percent sign; write such as",
        ),
        (["--shows", "white 50 % dark 50 %"], "'white 50 % dark 50 %': '50 % dark 50 %' is not a number"),
        (
            ["--shows", "white 90 %,"],
            "'white 90 %,': a comma parts nothing there; write such as 'white 90 %, dark 10 %'",
        ),
        (["--shows", "list="], "--shows: nothing is said to be shown; write such as"),
        (["--shows", "#ffffff"], "'#ffffff': is no kind of content; write such as"),
        (["--shows", "l\n\x1bst=white"], "'l\\n\\x1bst' is no zone of panel.toml"),
        (["--since", "2026\n", "--white", "5", "--until", "\x1b"], "'\\x1b' is neither a day"),
        (["--white", "40 %"], "--white: '40 %' is not a number or a range such as 7-9, in cd/m²"),
        (["--peak-share", "40"], "--peak-share: 40 is out of range; allowed: above 0 to 1, or with a percent sign"),
    ],
)
def test_what_makes_no_sense_is_said_and_nothing_is_kept(
    desk: Path, capsys: pytest.CaptureFixture[str], words: list[str], told: str
) -> None:
    assert main(["usage", str(desk), *words]) == 2
    assert told in " ".join(capsys.readouterr().err.split())
    assert not (desk / "usage.toml").exists()


def test_a_table_and_its_csv(desk: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    own = tmp_path / "own.csv"
    own.write_text("date,hours,white_cd_m2,zone,shows\n2026-01-05,400,120,,white\n2026-02-24,400,,,\n2026-04-15,,,,\n")
    assert main(["usage", str(desk), "--table", str(own)]) == 0
    assert len(load_usage(desk).stretches) == 3
    capsys.readouterr()
    assert main(["usage", str(desk), "--csv", "hours"]) == 0
    assert capsys.readouterr().out.splitlines()[1] == "2026-01-05-h0,2026-04-15-h800,700.0,900.0,800.0,800.0,yes"
    assert main(["usage", str(desk), "--csv", "stretches", "--out", str(tmp_path / "told.csv")]) == 0
    assert (tmp_path / "told.csv-metadata.json").exists()


def test_screenshots_are_reduced_and_a_map_that_changed_is_told(
    desk: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    shots = tmp_path / "shots"
    shots.mkdir()
    picture = np.zeros((300, 400, 3), np.uint8)
    picture[:, :100] = 255
    Image.fromarray(picture).save(shots / "a.png")
    Image.fromarray(picture // 255 * 0).save(shots / "b.png")

    assert main(["usage", str(desk), "--white", "120", "--screenshots", str(shots)]) == 0

    assert "2 pictures reduced to screens-1.npz; the pictures are not kept and not changed" in said(capsys)
    found = doses(desk, capsys)
    assert found["list", "red"] == [0.0, pytest.approx(400.0)]
    assert found["chart", "red"] == [0.0, 0.0]
    assert main(["check", str(desk)]) == 0
    assert main(["check", str(desk / "usage" / "screens-1.npz")]) == 0
    assert main(["usage", str(desk), "--since", "always", "--screenshots", str(shots)]) == 2
    assert "the same pictures are kept already" in " ".join(capsys.readouterr().err.split())
    (desk / "usage" / "screens-1.npz").write_bytes(b"x")
    assert main(["usage", str(desk)]) == 2
    assert "is not the file that usage.toml speaks of" in said(capsys)
    assert main(["check", str(desk)]) != 0
    assert main(["check", str(desk / "usage" / "screens-1.npz")]) != 0


def test_it_is_asked_at_the_terminal(
    desk: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (desk / "typed").write_text("3 30\n7-9\n5 120\n8 white 60 %, dark 40 %\n\n")
    with (desk / "typed").open() as typed:
        monkeypatch.setattr(sys, "stdin", typed)
        assert main(["usage", str(desk), "--ask"]) == 0
    told = said(capsys)
    assert "30 is out of range" in told
    (one,) = load_usage(desk).stretches
    assert (one.since, [(c.zone, c.shows, c.share.low) for c in one.content]) == (
        "always", [("list", "white", 0.6), ("list", "dark", 0.4)]
    )  # fmt: skip


def test_what_was_answered_is_put_right_and_not_typed_again(
    desk: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Since and until are each a checkpoint; together they hold on no day."""
    (desk / "typed").write_text("1 2026-04-15-h800\n2 2026-01-05-h0\n3 7-9\n\n1 2026-01-05-h0\n2 2026-04-15-h800\n\n")
    with (desk / "typed").open() as typed:
        monkeypatch.setattr(sys, "stdin", typed)
        assert main(["usage", str(desk), "--ask"]) == 0
    assert "Until: 2026-01-05-h0 (2026-01-05) is not later than 2026-04-15-h800 (2026-04-15)" in said(capsys)
    (one,) = load_usage(desk).stretches
    assert (one.since, one.until, one.hours_a_day) == ("2026-01-05-h0", "2026-04-15-h800", Amount(7, 9))


def test_nothing_answered_is_asked_again_until_nobody_answers(
    desk: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (desk / "typed").write_text("\n")
    with (desk / "typed").open() as typed:
        monkeypatch.setattr(sys, "stdin", typed)
        assert main(["usage", str(desk), "--ask"]) == 2
    assert "nothing was told" in said(capsys)
    assert not (desk / "usage.toml").exists()


@pytest.mark.parametrize("text", ["date,note\n2026-01-05,\n", "date,hours\n2026-01-05,\n2026-01-09,\n"])
def test_a_table_that_tells_nothing_is_not_kept(
    desk: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path, text: str
) -> None:
    (tmp_path / "own.csv").write_text(text)
    assert main(["usage", str(desk), "--table", str(tmp_path / "own.csv")]) == 2
    assert "own.csv: nothing was told" in " ".join(capsys.readouterr().err.split())
    assert not (desk / "usage.toml").exists()


def test_without_a_checkpoint_there_is_no_dose(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "panel.toml").write_text(PANEL)
    assert main(["usage", str(tmp_path), "--shows", "mid"]) == 0
    assert "no checkpoint yet, so there is no dose" in said(capsys)
