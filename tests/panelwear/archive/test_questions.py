"""The ten questions of docs/archive.md, run as printed: two engines give the same answers, and the right ones."""

from __future__ import annotations

import ast
import csv
import hashlib
import io
import math
import re
from pathlib import Path
from typing import Any

import duckdb
import pytest

from panelwear.cli import main
from tests.documents.tables import text_of
from tests.panelwear.archive import panels

BLOCKS = re.findall(r"```(sql|python)\n(.*?)```", text_of("docs/archive.md"), re.DOTALL)
SQL = [body for kind, body in BLOCKS if kind == "sql"]
POLARS = [body for kind, body in BLOCKS if kind == "python"]
QUESTIONS = range(1, 11)
Answer = list[dict[str, Any]]


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = panels.make(tmp_path_factory.mktemp("many") / "root", 3)
    assert main(["archive", str(root), "--out", str(root.parent / "archive"), "--jobs", "1"]) == 0
    return root.parent


def by_duckdb(number: int) -> Answer:
    with duckdb.connect() as connection:
        connection.execute(SQL[0])
        found = connection.execute(SQL[number])
        names = [column[0] for column in found.description]
        return [dict(zip(names, row, strict=True)) for row in found.fetchall()]


def by_polars(number: int) -> Answer:
    names: dict[str, Any] = {}
    exec(POLARS[0], names)  # noqa: S102 - our own page
    lazy = eval(compile(ast.parse(POLARS[number].strip(), mode="eval"), "docs", "eval"), names)  # noqa: S307
    rows: Answer = lazy.collect().to_dicts()
    return rows


def alike(a: object, b: object) -> bool:
    if isinstance(a, float) or isinstance(b, float):
        return math.isclose(float(a), float(b), rel_tol=1e-9, abs_tol=1e-12)  # type: ignore[arg-type]
    return a == b


def test_there_are_ten_questions_in_two_languages() -> None:
    assert len(SQL) == len(POLARS) == 1 + len(QUESTIONS)


@pytest.mark.parametrize("number", QUESTIONS)
def test_both_engines_give_the_same_answer(here: Path, number: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(here)
    one, other = by_duckdb(number), by_polars(number)
    assert one and [*one[0]] == [*other[0]]
    assert len(one) == len(other)
    assert all(alike(a[name], b[name]) for a, b in zip(one, other, strict=True) for name in a)


def test_the_answers_are_those_of_compare_and_of_the_files(here: Path, monkeypatch, capsys) -> None:
    monkeypatch.chdir(here)
    lost = {row["panel"]: row for row in by_duckdb(2)}
    for seed in (1, 2, 3):
        key = f"panel-{seed:04}"
        capsys.readouterr()
        assert main(["compare", str(here / "root" / key), "--csv", "changes"]) == 0
        rows = csv.DictReader(io.StringIO(capsys.readouterr().out, newline=""))
        white = next(r for r in rows if r["figure"] == "white.Y" and r["since"] == "baseline")
        assert (float(white["change"]), white["verdict"]) == (lost[key]["change"], lost[key]["verdict"])
    assert [row["readings"] for row in by_duckdb(1)] == [900, 900, 900]
    for row in by_duckdb(10):
        original = here / "root" / row["panel"] / "checkpoints" / row["checkpoint"] / "readings.csv"
        assert row["readings_sha256"] == hashlib.sha256(original.read_bytes()).hexdigest()
        assert row["here"] == row["readings"] == 300
    assert {row["usage"] for row in by_duckdb(7)} == {"charts", "text"}
