"""Exported tables: no cell is a formula to a spreadsheet, and numbers stay numbers."""

from __future__ import annotations

import pytest

from panelwear.compare.tables import table


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@a", "\t=1"])
def test_text_that_begins_like_a_formula_is_made_safe(text: str) -> None:
    made = table("t", "", [("name", "", ""), ("value", "cd/m2", "")], [[text, -2.5]])
    assert made.csv() == f"name,value\r\n'{text},-2.5\r\n"
    assert made.to_json()["rows"] == [{"name": text, "value": -2.5}]
