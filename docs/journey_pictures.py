"""The journeys of docs/journeys.toml: the tests that go them keep a picture of each step; ten minutes for all."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import tomllib
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from picturing import store
from PIL import Image

DOCS = Path(__file__).resolve().parent
FOLDER = DOCS / "pictures" / "journeys"


@dataclass(frozen=True, slots=True)
class Journey:
    """A person's way through the program, as docs/journeys.toml lists it."""

    name: str
    title: str
    test: str
    """The test that goes it."""
    steps: tuple[tuple[str, str], ...]
    """Name and caption of each step."""

    @property
    def pictures(self) -> dict[str, str]:
        """The file of each step's picture, and its caption."""
        return {f"{self.name}-{n:02d}-{step}.png": said for n, (step, said) in enumerate(self.steps, 1)}

    @property
    def text(self) -> str:
        """Its part of docs/screens.md."""
        shown = "".join(f"\n{said}\n\n![{said}](pictures/journeys/{file})\n" for file, said in self.pictures.items())
        return f"\n## Journey: {self.title}\n{shown}"


def listed_journeys() -> tuple[Journey, ...]:
    """Read docs/journeys.toml."""
    found = tomllib.loads((DOCS / "journeys.toml").read_text(encoding="utf-8"))["journey"]
    return tuple(Journey(j["name"], j["title"], j["test"], tuple(map(tuple, j["steps"]))) for j in found)


def keep(names: list[str]) -> None:
    """Go the journeys named, or all, and store their pictures."""
    wanted = [one for one in listed_journeys() if one.name in names or not names]
    with tempfile.TemporaryDirectory() as kept:
        tests = [one.test for one in wanted]
        command = [sys.executable, "-m", "pytest", "-q", "-n", "0", "-m", "screen", *tests]
        subprocess.run(command, cwd=DOCS.parent, env={**os.environ, "PANELWEAR_PICTURES": kept}, check=True)
        FOLDER.mkdir(parents=True, exist_ok=True)
        for old in (old for one in wanted for old in FOLDER.glob(f"{one.name}-[0-9]*.png")):
            old.unlink()
        for path in sorted(Path(kept).glob("*.png")):
            with Image.open(path) as whole:
                store(np.asarray(whole.convert("RGB")), FOLDER / path.name)
