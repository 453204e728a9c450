"""What a command is guarded by: foreign packages under the names of ours, and a sentence for faults of our own."""

from __future__ import annotations

import importlib.util
import traceback
from importlib.machinery import ModuleSpec
from pathlib import Path

from panelwear.errors import UsageError

OWN = {"groundwork": "clock.py", "patterns": "frame.py", "sequences": "model.py", "probe_io": "reading.py"}
"""Our sibling packages, and a file each must hold."""


def check_packages() -> None:
    """Refuse to go on when Python would import a foreign package in the place of one of ours.

    Looks only; imports nothing, so it costs well under a millisecond a package.

    Raises:
        UsageError: naming the foreign package and what to do.
    """
    home = Path(__file__).resolve().parent.parent
    for name, file in OWN.items():
        fault = fault_of(name, file, importlib.util.find_spec(name), home)
        if fault:
            raise UsageError(fault)


def fault_of(name: str, file: str, spec: ModuleSpec | None, home: Path) -> str:
    """Return what is wrong with a package that was found, or empty text.

    Args:
        name: the package.
        file: a file it must hold.
        spec: what Python finds under the name; ``None``: nothing.
        home: the folder our packages lie in.
    """
    if spec is None or (spec.origin is None and not spec.submodule_search_locations):
        return f"the package '{name}' of panelwear is missing; install panelwear again in an environment of its own"
    places = [Path(found) for found in spec.submodule_search_locations or ()]
    if any(place.resolve() == home / name and (place / file).is_file() for place in places):
        return ""
    found = str(places[0]) if places else str(spec.origin)
    return (
        f"another package called '{name}' stands in the way of panelwear's own: {found}; remove it, leave the folder it"
        f" lies in, or install panelwear in an environment of its own"
    )


def own_fault(error: Exception, variable: str) -> str:
    """Return the sentence for an error that nothing foresaw: what, where in the program, how to see more."""
    frames = traceback.extract_tb(error.__traceback__)
    where = f"{Path(frames[-1].filename).name}, line {frames[-1].lineno}" if frames else "nowhere"
    text = " ".join(str(error).split())[:200]
    return (
        f"a fault of the program itself ({type(error).__name__}: {text}; {where}); what was stored stays. "
        f"Set {variable}=1 and run it again to see all of it, and tell whoever keeps this program"
    )
