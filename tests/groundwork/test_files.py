"""The guarded reader: what is no plain file, or is larger than one of ours, is said before anything is read."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from groundwork.documents import parse_json, parse_toml
from groundwork.files import content


def refused(path: Path, largest: int = 100) -> str:
    with pytest.raises(OSError) as caught:
        content(path, largest)
    return str(caught.value.strerror)


def test_a_plain_file_is_read_whole(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"x" * 100)
    assert content(tmp_path / "a", 100) == b"x" * 100


def test_a_pipe_is_refused_and_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert refused(tmp_path / "pipe") == "it is a pipe, no plain file"


def test_a_device_is_refused() -> None:
    assert refused(Path("/dev/zero")) == "it is a device, no plain file"


def test_a_file_too_large_is_refused(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"x" * 101)
    assert "larger than 100 bytes" in refused(tmp_path / "a")


@pytest.mark.parametrize("text", ["9" * 5000, "1" + "0" * 330, "-" + "9" * 5000])
def test_a_number_that_nothing_can_hold_is_a_sentence(text: str) -> None:
    with pytest.raises(ValueError, match="digits"):
        parse_json(text, "a.json", ValueError)
    with pytest.raises(ValueError, match="digits"):
        parse_toml(f"a = {text}", "a.toml", ValueError)
    with pytest.raises(ValueError, match="digits"):
        parse_toml("a = 0x" + "f" * 5000, "a.toml", ValueError)
