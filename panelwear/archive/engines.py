"""One function over many panels: in this process, in a pool of processes, or on a cluster.

What is waiting is bounded, so that memory does not grow with the number of panels. Results come in the order they are
ready; whoever takes them must not depend on it.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from itertools import islice
from typing import Any, TypeVar

from panelwear.errors import StorageFault, UsageError

Job = TypeVar("Job")
Result = TypeVar("Result")
AHEAD = 4
"""Jobs that wait for each process."""


@dataclass(frozen=True, slots=True)
class Engine:
    """Where work is done."""

    jobs: int = 1
    """Processes; 1: this one."""
    scheduler: str = ""
    """Address of a cluster's scheduler; empty: this machine."""

    def run(self, work: Callable[[Job], Result], todo: Iterable[Job]) -> Iterator[Result]:
        """Yield the result of each job.

        Raises:
            StorageFault: a process of the pool was ended from outside, or the cluster is gone.
        """
        if self.scheduler:
            from panelwear.archive.cluster import on_cluster

            return on_cluster(self.scheduler, work, todo)
        return _in_pool(self.jobs, work, todo) if self.jobs > 1 else map(work, todo)


def engine_of(name: str, scheduler: str, jobs: int | None) -> Engine:
    """Make the engine a command names; ``UsageError`` where its parts do not go together or its library is missing."""
    from panelwear.extras import needed

    if jobs is not None and jobs < 1:
        raise UsageError(f"--jobs {jobs}: wanted a whole number from 1")
    if name == "dask":
        if not scheduler:
            raise UsageError(
                "--engine dask: needs --scheduler ADDRESS, of a cluster that is there, such as tcp://host:8786"
            )
        needed("--engine dask", "dask", "distributed")
        return Engine(scheduler=scheduler)
    if scheduler:
        raise UsageError("--scheduler ADDRESS: goes with --engine dask")
    return Engine(jobs or cores())


def cores() -> int:
    """Return how many cores this process may use."""
    affinity = getattr(os, "sched_getaffinity", None)
    return len(affinity(0)) if affinity is not None else os.cpu_count() or 1


def _in_pool(jobs: int, work: Callable[[Job], Result], todo: Iterable[Job]) -> Iterator[Result]:
    import multiprocessing

    methods = multiprocessing.get_all_start_methods()
    context = multiprocessing.get_context("forkserver" if "forkserver" in methods else "spawn")
    if "forkserver" in methods:  # modules are imported once, for all processes
        context.set_forkserver_preload([work.__module__])
    waiting = iter(todo)
    try:
        with ProcessPoolExecutor(jobs, mp_context=context, initializer=_end_with_parent) as pool:
            running: set[Future[Any]] = {pool.submit(work, job) for job in islice(waiting, jobs * AHEAD)}
            try:
                while running:
                    done, running = wait(running, return_when=FIRST_COMPLETED)
                    running |= {pool.submit(work, job) for job in islice(waiting, len(done))}
                    for one in done:
                        yield one.result()
            finally:  # nobody takes what is left
                for left in running:
                    left.cancel()
    except BrokenProcessPool:
        said = "a process that worked on a panel was ended from outside (the memory may have been full)"
        raise StorageFault(
            f"{said}; what was done is kept: run it again, and it goes on, with --jobs 1 if need be"
        ) from None


def _end_with_parent() -> None:
    """Let this process of a pool end when the one it works for does; after a kill nobody else would tell it."""
    import multiprocessing
    from multiprocessing.connection import wait as wait_for
    from threading import Thread

    parent = multiprocessing.parent_process()
    if parent is None:
        return

    def watch(sentinel: int) -> None:
        wait_for([sentinel])
        os._exit(1)

    Thread(target=watch, args=(parent.sentinel,), daemon=True).start()
