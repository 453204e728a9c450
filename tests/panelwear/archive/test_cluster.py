"""On a cluster of two workers, one killed in the middle, every byte is as one process writes it."""

from __future__ import annotations

import logging
import os
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from panelwear.archive.collecting import collect
from panelwear.archive.engines import Engine
from panelwear.archive.finding import Found, panel_folders
from panelwear.archive.many import compare_all
from panelwear.cli import main
from tests.panelwear.archive import panels

PANELS = 8
pytestmark = [pytest.mark.slow, pytest.mark.filterwarnings("ignore::ResourceWarning")]


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = panels.make(tmp_path_factory.mktemp("many") / "root", PANELS, (0.0, 4400.0))
    (made / "panel-0003" / "panel.toml").write_text("name =\n", encoding="utf-8")
    return made


@pytest.fixture
def cluster() -> Iterator[Any]:
    from distributed import LocalCluster

    with LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, silence_logs=logging.CRITICAL
    ) as made:
        yield made


def files(out: Path) -> dict[str, bytes]:
    return {p.relative_to(out).as_posix(): p.read_bytes() for p in out.rglob("*") if p.is_file()}


class Killer:
    """Kills one of the workers when the first panel is through and others wait."""

    def __init__(self, scheduler: str) -> None:
        self.scheduler, self.killed = scheduler, 0

    def __call__(self, done: int) -> None:
        from distributed import Client

        if done == 1:
            with Client(self.scheduler, set_as_default=False) as client:
                busy = {worker: len(tasks) for worker, tasks in client.processing().items()}
                pids = client.run(os.getpid)
            self.killed = pids[max(busy, key=lambda worker: busy[worker])]
            assert max(busy.values()) > 0
            os.kill(self.killed, signal.SIGKILL)


def there(root: Path) -> list[Found]:
    return [*panel_folders(root)]


def test_verdicts_are_the_same_byte_for_byte(root: Path, cluster: Any, tmp_path: Path) -> None:
    alone = compare_all(there(root), tmp_path / "alone", Engine(), 0.95, lambda _: None)
    killer = Killer(cluster.scheduler_address)
    engine = Engine(scheduler=cluster.scheduler_address)
    together = compare_all(there(root), tmp_path / "together", engine, 0.95, killer)
    assert killer.killed
    assert files(tmp_path / "together") == files(tmp_path / "alone")
    assert together.ranking == alone.ranking
    assert {*together.came.left_out} == {*alone.came.left_out} == {"panel-0003"}


def test_the_archive_is_the_same_byte_for_byte(root: Path, cluster: Any, tmp_path: Path) -> None:
    collect(there(root), tmp_path / "alone", Engine(), lambda _: None)
    killer = Killer(cluster.scheduler_address)
    collect(there(root), tmp_path / "together", Engine(scheduler=cluster.scheduler_address), killer)
    assert killer.killed
    assert files(tmp_path / "together") == files(tmp_path / "alone")
    assert len(files(tmp_path / "alone" / "readings")) == 2 * (PANELS - 1)


def test_the_command_takes_the_address_of_the_scheduler(root: Path, cluster: Any, tmp_path: Path, capsys) -> None:
    words = ["compare", "--all", str(root), "--engine", "dask", "--scheduler", cluster.scheduler_address]
    assert main([*words, "--out", str(tmp_path / "out")]) == 3
    assert f"{PANELS - 1} panels compared, 0 compared before, 1 left out" in capsys.readouterr().out.replace(
        "\n  ", " "
    )


def test_where_no_scheduler_answers_that_is_one_sentence(root: Path, tmp_path: Path, monkeypatch, capsys) -> None:
    monkeypatch.setattr("panelwear.archive.cluster.WAIT_S", 1)
    words = [
        "archive",
        str(root),
        "--engine",
        "dask",
        "--scheduler",
        "tcp://127.0.0.1:9",
        "--out",
        str(tmp_path / "out"),
    ]
    assert main(words) == 2
    assert "--scheduler tcp://127.0.0.1:9: no scheduler answers there" in capsys.readouterr().err
