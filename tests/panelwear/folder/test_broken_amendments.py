"""Amendments that cannot be what the program wrote."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from panelwear.errors import FileFault
from panelwear.upkeep.check import check
from tests.panelwear.folder.test_checkpoint import NOW, begun


def set_to(**hours: object) -> str:
    return json.dumps([{"utc": "2026-02-03", "text": "read wrongly", "set": hours}])


@pytest.mark.parametrize(
    "content",
    [
        "{", "3", '[{"utc": 1}]', "[[]]", set_to(hours=1e308), set_to(hours="many"), set_to(hours_high=1e300),
        set_to(hours=5, hours_kind="estimated", hours_low=6, hours_high=8), set_to(hours=5, hours_kind="estimated"),
    ],
)  # fmt: skip
def test_broken_amendments_are_sentences_and_are_not_written_over(tmp_path: Path, content: str) -> None:
    found = begun(tmp_path)
    found.close(NOW)
    path = found.directory / "amendments.json"
    path.write_text(content, encoding="utf-8")

    with pytest.raises(FileFault, match="amendment"):
        found.amend("x", NOW)

    assert path.read_text(encoding="utf-8") == content
    assert check(found.directory).problems != ()
