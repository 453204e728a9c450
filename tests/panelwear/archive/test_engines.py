"""A function over many jobs: all results, few of them waiting, and a sentence where a process is lost."""

from __future__ import annotations

import os
import select
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator

import pytest

from panelwear.archive.engines import AHEAD, Engine, cores
from panelwear.errors import StorageFault


def doubled(job: int) -> int:
    return 2 * job


def ended_at_three(job: int) -> int:
    if job == 3:
        os.kill(os.getpid(), signal.SIGKILL)
    return job


@pytest.mark.parametrize("jobs", [1, 2])
def test_every_job_is_done_once(jobs: int) -> None:
    assert sorted(Engine(jobs).run(doubled, range(40))) == [2 * job for job in range(40)]
    assert [*Engine(jobs).run(doubled, ())] == []


def test_no_more_jobs_are_taken_than_are_soon_worked_on() -> None:
    taken = []

    def todo() -> Iterator[int]:
        for job in range(1000):
            taken.append(job)
            yield job

    for done, _ in enumerate(Engine(2).run(doubled, todo()), start=1):
        assert len(taken) <= done + 2 * 2 * AHEAD
    assert len(taken) == 1000


def test_a_process_that_is_ended_from_outside_is_one_sentence() -> None:
    with pytest.raises(StorageFault, match=r"was ended from outside .* what was done is kept: run it again"):
        list(Engine(2).run(ended_at_three, range(20)))


def held(_job: int) -> None:
    os.write(1, f"{os.getpid()}\n".encode())
    threading.Event().wait()


HOLDS = """
from panelwear.archive.engines import Engine
from tests.panelwear.archive.test_engines import held
list(Engine(2).run(held, range(2)))
"""


@pytest.mark.skipif(not hasattr(os, "pidfd_open"), reason="needs a system that tells when another's process ends")
def test_processes_of_a_run_that_was_killed_end_with_it() -> None:
    with subprocess.Popen([sys.executable, "-c", HOLDS], stdout=subprocess.PIPE) as run:
        assert run.stdout is not None
        watched = [os.pidfd_open(int(run.stdout.readline())) for _ in range(2)]
        try:
            assert select.select(watched, [], [], 0)[0] == []
            run.kill()
            for one in watched:
                assert select.select([one], [], [], 60)[0] == [one]
        finally:
            for one in watched:
                os.close(one)


def test_there_is_one_process_a_core_at_least() -> None:
    assert 1 <= cores() <= (os.cpu_count() or 1)
