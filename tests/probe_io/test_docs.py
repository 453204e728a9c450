"""What the pages on probes promise is so."""

import dataclasses
import re
import typing
from pathlib import Path

import pytest

from groundwork.tables import keys_of
from probe_io import instrument_file
from probe_io.instrument import MEANINGS, Instrument
from probe_io.reading import HOLES
from probe_io.simulated.faults import KINDS
from probe_io.template import KINDS as HOLE_KINDS
from probe_io.template import Command, Template
from probe_io.wire import CHECKSUMS

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs/instrument-file.md").read_text(encoding="utf-8")
PROBES = (ROOT / "docs/probes.md").read_text(encoding="utf-8")


def blocks(page, language):
    return re.findall(rf"```{language}\n(.*?)```", page, flags=re.DOTALL)


def test_the_whole_file_of_the_page_is_sound():
    example = blocks(PAGE, "toml")[0]
    assert instrument_file.parse(example.encode(), "page").name == "comma-meter"


def keys_of_all_tables(cls=Instrument):
    found = set()
    for key, (_, hint) in keys_of(cls).items():
        found.add(key)
        for inner in (hint, *typing.get_args(hint)):
            if dataclasses.is_dataclass(inner) and inner not in (Template, Command):
                found |= keys_of_all_tables(inner)
    return found


def test_every_key_the_reader_knows_is_on_the_page_and_in_its_example():
    keys = keys_of_all_tables()
    assert len(keys) > 40
    example = blocks(PAGE, "toml")[0]
    explained = PAGE.replace(example, "")
    assert [key for key in sorted(keys) if not re.search(rf"`{key}`|\[{key}\]", explained)] == []
    unused_together = {"factor", "fixed_s"}  # they need another unit and another way to wait
    assert [key for key in sorted(keys - unused_together) if not re.search(rf"\b{key}\b", example)] == []


@pytest.mark.parametrize("names", [tuple(CHECKSUMS), MEANINGS, HOLE_KINDS, tuple(HOLES)])
def test_every_choice_is_on_the_page(names):
    assert [name for name in names if f"`{name}`" not in PAGE] == []


def test_every_fault_of_the_simulated_meter_is_on_the_page():
    assert [kind for kind in KINDS if not re.search(rf"[`\s]{kind}[`\s]", PROBES)] == []


def test_the_python_of_the_page_runs(capsys):
    (code,) = blocks(PROBES, "python")
    exec(compile(code, "docs/probes.md", "exec"), {})  # noqa: S102 - the page's own example
    assert "Y_cd_m2=100.0" in capsys.readouterr().out
