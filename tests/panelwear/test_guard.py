"""The guard against somebody else's packages under our names: really tried, with a foreign package in front."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from panelwear.guard import OWN, check_packages, fault_of


def test_our_own_packages_pass() -> None:
    check_packages()


@pytest.mark.parametrize("name", sorted(OWN))
@pytest.mark.parametrize("form", ["package", "module", "namespace"])
def test_a_foreign_package_in_front_is_named(name: str, form: str, tmp_path: Path) -> None:
    folder = tmp_path / "there"
    folder.mkdir()
    if form == "module":
        (folder / f"{name}.py").write_text("")
    else:
        (folder / name).mkdir()
        if form == "package":
            (folder / name / "__init__.py").write_text("")
            (folder / name / OWN[name]).write_text("")
    program = (
        f"import sys; sys.path.insert(0, {str(folder)!r})\n"
        "from panelwear.guard import check_packages\n"
        "from panelwear.errors import UsageError\n"
        "try:\n    check_packages()\nexcept UsageError as error:\n    print(error)\nelse:\n    print('passed')"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    if form == "namespace":
        # a folder without __init__.py never comes before a real package
        assert done.stdout.strip() == "passed"
    else:
        assert done.stdout.startswith(f"another package called '{name}' stands in the way of panelwear's own: {folder}")


def test_a_missing_package_is_said() -> None:
    said = fault_of("patterns", "frame.py", None, Path("/nowhere"))
    assert said.startswith("the package 'patterns' of panelwear is missing")
