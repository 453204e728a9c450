"""What is done with one panel of many, in whatever process: what ``compare`` does, or a sentence."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from panelwear.archive.finding import Found, sources_of
from panelwear.archive.ledger import Entry, entry_of
from panelwear.compare.comparing import comparison_of
from panelwear.compare.comparison import Comparison
from panelwear.errors import PanelwearError
from panelwear.figures.load import Loaded, load_panel_evidence
from panelwear.folder.panel import Panel, load_panel, load_probe_settings
from panelwear.guard import own_fault


@dataclass(frozen=True, slots=True)
class Job:
    """One panel to be worked on."""

    found: Found
    out: Path
    level: float = 0.95


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of one panel; small, as one of every panel may be held."""

    key: str
    done: str
    """``new``, ``same`` (nothing was to be done) or ``bad``."""
    problems: tuple[str, ...] = ()
    """Why it is bad, or what of it is not as it was written."""


@dataclass(frozen=True, slots=True)
class Compared:
    """A panel that was read and compared."""

    panel: Panel
    loaded: Loaded
    comparison: Comparison


def outcome_of(job: Job, make: Callable[[Job, Mapping[str, str]], Entry]) -> Outcome:
    """Work on a panel unless its entry says that it was done with the very files that are there.

    Args:
        job: which, and where to.
        make: makes what is wanted of the panel and its entry, from the digests of its files, and writes both.
    """
    key = job.found.key
    try:
        settings = load_probe_settings(job.found.folder)
        sources = sources_of(job.found.folder, settings.correction)
        before = entry_of(job.out, key)
        if before is not None and _still_holds(job, before, sources):
            return Outcome(key, "same", tuple(before.get("faults", ())))
        return Outcome(key, "new", tuple(make(job, sources).get("faults", ())))
    except PanelwearError as error:
        return Outcome(key, "bad", tuple(getattr(error, "problems", (str(error),))))
    except Exception as error:
        return Outcome(key, "bad", (own_fault(error, "PANELWEAR_TRACEBACK"),))


def _still_holds(job: Job, entry: Entry, sources: Mapping[str, str]) -> bool:
    alike = entry.get("sources") == sources and entry.get("level") == job.level
    return alike and all((job.out / name).is_file() for name in entry.get("made", ()))


def compared(job: Job, *, ends_only: bool = False) -> Compared:
    """Read one panel and compare its checkpoints, as ``compare`` does; ``ends_only`` as in ``load_panel_evidence``.

    Raises:
        FileFault: a file of the panel has faults.
        StorageFault: one cannot be read.
        UsageError: nothing was read yet.
        NotAsWritten: what was read is damaged.
    """
    panel, loaded = load_panel(job.found.folder), load_panel_evidence(job.found.folder, ends_only=ends_only)
    loaded.refuse_all_lost()
    comparison = comparison_of(
        loaded.checkpoints,
        panel=panel.name,
        level=job.level,
        facts=panel.facts(),
        without_baseline=loaded.without_baseline,
        verdicts_only=True,
    )
    return Compared(panel, loaded, comparison)


def entry_for(job: Job, sources: Mapping[str, str], one: Compared, made: Sequence[str] = ()) -> dict[str, Any]:
    """Return what every entry of a panel says; ``made``: files that stand for it, by their paths in the folder."""
    panel, ends = one.panel, {end.name: end for end in one.comparison.checkpoints}
    return {
        "name": panel.name,
        "model": panel.model,
        "usage": panel.usage,
        "brightness": panel.brightness,
        "level": job.level,
        "sources": dict(sources),
        "made": [*made],
        "checkpoints": [
            {
                "checkpoint": e.name,
                **e.circumstances.use.all_keys(),
                "date": e.circumstances.date,
                "readings": e.stored,
                "readings_sha256": sources.get(f"checkpoints/{e.name}/readings.csv", ""),
            }
            for e in one.loaded.checkpoints
            if e.name in ends
        ],
        "faults": [*one.loaded.faults],
        "verdict": [*one.comparison.sentences],
    }
