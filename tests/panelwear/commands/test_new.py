"""``panelwear new``: what it writes passes ``panelwear check``, or nothing is written."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from panelwear.cli import main
from panelwear.upkeep.check import check

GOOD = {"--name": "harbour-desk", "--pixels": "1920x1080", "--area-mm": "596.736x335.664"}


def words(folder: Path, **changed: str) -> list[str]:
    options = {**GOOD, **{f"--{key.replace('_', '-')}": value for key, value in changed.items()}}
    return ["new", str(folder), *(f"{key}={value}" for key, value in options.items() if value)]


def test_what_is_made_has_no_faults_and_every_digit(tmp_path: Path) -> None:
    assert main(words(tmp_path / "desk", refresh_hz="59.94006", name='a "quoted" \x7f name')) == 0

    assert check(tmp_path / "desk").problems == ()
    text = (tmp_path / "desk/panel.toml").read_text(encoding="utf-8")
    assert "active_area_mm = [596.736, 335.664]" in text
    assert "refresh_hz = 59.94006\n" in text


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        ("diagonal_inch", "-27", "--diagonal-inch -27"),
        ("diagonal_inch", "0", "--diagonal-inch 0"),
        ("diagonal_inch", "nan", "--diagonal-inch nan"),
        ("refresh_hz", "0", "refresh_hz"),
        ("refresh_hz", "nan", "refresh_hz"),
        ("aperture_mm", "0", "aperture_mm"),
        ("distance_mm", "inf", "distance_mm"),
        ("peak_cd_m2", "-4", "peak_cd_m2"),
        ("area_mm", "nanxnan", "--area-mm"),
        ("area_mm", "infxinf", "active_area_mm"),
        ("pixels", "0x0", "--pixels"),
        ("pixels", "99999x99999", "pixels"),
        ("name", "a\udc80", "udc80"),
        ("notes", "a\udc80", "udc80"),
    ],
)
def test_what_check_would_refuse_is_not_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], option: str, value: str, said: str
) -> None:
    area = {} if option == "area_mm" or option != "diagonal_inch" else {"area_mm": ""}

    assert main(words(tmp_path / "desk", **area, **{option: value})) == 2

    assert said in capsys.readouterr().err
    assert [*tmp_path.iterdir()] == []


class Keyboard(io.StringIO):
    """A terminal at which a person types so much and then ends the input."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(("typed", "code"), [("", 1), ("harbour-desk\n", 1), ("\n", 2)])
def test_a_person_who_ends_the_input_is_told_that_nothing_was_made(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, typed: str, code: int
) -> None:
    monkeypatch.setattr("sys.stdin", Keyboard(typed))

    assert main(["new", str(tmp_path / "desk")]) == code

    assert "nothing was made" in capsys.readouterr().err
    assert [*tmp_path.iterdir()] == []


@pytest.mark.parametrize(
    ("typed", "option", "written"),
    [("", None, "0.002"), ("0,0035", None, "0.0035"), (None, "0.004", "0.004")],
    ids=["Return", "typed", "option"],
)
def test_what_the_certificate_says_of_x_and_y_is_asked_or_given(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, typed: str | None, option: str | None, written: str
) -> None:
    given = ["--pixels", "1920x1080", "--area-mm", "596.7x335.7"]
    asked: list[str] = []

    def answer(prompt: str) -> str:
        asked.append(prompt)
        return "desk" if "call the panel" in prompt else typed or ""

    monkeypatch.setattr("sys.stdin.isatty", lambda: True)
    monkeypatch.setattr("builtins.input", answer)
    more = ["--calibration-xy", option] if option else []
    assert main(["new", str(tmp_path / "desk"), *given, *more]) == 0
    assert f"calibration_xy = {written}\n" in (tmp_path / "desk/probe.toml").read_text(encoding="utf-8")
    assert any("certificate" in prompt for prompt in asked) == (option is None)


def test_an_impossible_certificate_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(words(tmp_path / "desk", calibration_xy="7")) == 2
    assert "calibration_xy" in capsys.readouterr().err
    assert not (tmp_path / "desk").exists()
