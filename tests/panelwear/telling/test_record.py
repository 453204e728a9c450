"""What is said goes through JSON and back and is the same."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from panelwear.telling.parts import Column, Exactly, Part, Prose, grid
from panelwear.telling.record import as_data, parts_from

TABLE = grid(
    (Column("figure"), Column("now", "cd/m²", number=True, optional=True)), [("white", "409"), ("  red", "88")]
)
PARTS: tuple[Part, ...] = (
    Prose("A sentence.", 2, aside=True),
    Prose(""),
    Exactly(("a line", "another")),
    replace(TABLE, strong=frozenset({1, 0}), otherwise="with --csv changes", indent=2),
)


def test_parts_come_back_as_they_went() -> None:
    assert parts_from(json.loads(json.dumps(as_data(PARTS)))) == PARTS


def test_a_program_of_others_finds_text_columns_and_rows() -> None:
    sentence, _, lines, table = as_data(PARTS)
    assert sentence["text"] == "A sentence."
    assert lines["lines"] == ("a line", "another")
    assert [column["title"] for column in table["columns"]] == ["figure", "now"]
    assert table["rows"] == (("white", "409"), ("  red", "88"))


@pytest.mark.parametrize("data", [[{"x": 1}], [{"text": "a", "y": 2}], [3], [{"columns": [], "rows": []}], 7])
def test_what_is_no_such_data_is_refused(data: object) -> None:
    with pytest.raises(ValueError, match="no parts of what is said"):
        parts_from(data)  # type: ignore[arg-type]
