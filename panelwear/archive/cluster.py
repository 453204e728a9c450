"""One function over many panels on a cluster that is there already (dask.distributed); nothing is started here.

Its workers must see the panel folders, and the folder that is written, at the same paths, and have this program.
A panel whose worker is lost is worked on again by another: each file is written whole, so it cannot be half there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import islice
from typing import TypeVar

from panelwear.errors import StorageFault, UsageError

Job = TypeVar("Job")
Result = TypeVar("Result")
AHEAD = 4
"""Jobs that wait for each thread of the cluster."""
WAIT_S = 20
"""No longer than this is the scheduler waited for."""


def on_cluster(scheduler: str, work: Callable[[Job], Result], todo: Iterable[Job]) -> Iterator[Result]:
    """Yield the result of each job, in the order they are ready.

    Raises:
        UsageError: no scheduler answers at that address, or it has no workers.
        StorageFault: workers were lost again and again over one panel, or the cluster is gone.
    """
    from distributed import Client, as_completed
    from distributed.scheduler import KilledWorker

    try:
        client = Client(scheduler, timeout=WAIT_S, set_as_default=False)
    except (OSError, TimeoutError, ValueError) as error:
        raise UsageError(f"--scheduler {scheduler}: no scheduler answers there ({error})") from None
    with client:
        threads = sum(client.nthreads().values())
        if not threads:
            raise UsageError(f"--scheduler {scheduler}: has no workers; start some, and run it again")
        waiting = iter(todo)
        begun = [client.submit(work, job, pure=False) for job in islice(waiting, threads * AHEAD)]
        running = as_completed(begun, loop=client.loop)
        try:
            for one in running:
                yield one.result()
                for job in islice(waiting, 1):
                    running.add(client.submit(work, job, pure=False))
        except KilledWorker:
            said = "several workers in turn were lost over one panel (their memory may be too small)"
            raise StorageFault(f"{said}; what was done is kept: run it again, and it goes on") from None
        except OSError as error:
            raise StorageFault(f"--scheduler {scheduler}: is gone ({error}); run it again, and it goes on") from None
