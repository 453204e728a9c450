"""Cost of a reading beyond settling and integration: request, reply, parsing, over a pseudo-terminal and a socket.

Run: python benchmarks/probe_overhead.py. Wanted: p95 at most 10 ms over the pseudo-terminal.
"""

from __future__ import annotations

import statistics
import sys
import time

from probe_io.instrument_file import find
from probe_io.serial_probe import SerialProbe
from probe_io.simulated import WHITE_D65, serve, steady

READINGS = 500
INTEGRATION_S = 0.02


def overheads_ms(dialect: str, transport: str, *, dwell: bool) -> list[float]:
    idle_calls = 0

    def idle() -> None:
        nonlocal idle_calls
        idle_calls += 1

    found = []
    with serve(dialect, steady(*WHITE_D65), transport, dwell=dwell) as server:
        probe = SerialProbe(find(dialect), server.url)
        probe.open()
        probe.measure(INTEGRATION_S)
        for _ in range(READINGS if not dwell else READINGS // 5):
            began_s = time.perf_counter()
            reading = probe.measure(INTEGRATION_S, idle)
            took_s = time.perf_counter() - began_s
            found.append((took_s - (reading.integration_s if dwell else 0.0)) * 1000.0)
        probe.close()
    return found


def main() -> None:
    print(f"{'dialect':<18}{'transport':<11}{'integration':<13}{'n':>5}{'median ms':>11}{'p95 ms':>9}{'worst ms':>10}")
    for dialect, transport, dwell in (
        ("scpi-colorimeter", "pty", False),
        ("scpi-colorimeter", "pty", True),
        ("scpi-colorimeter", "tcp", False),
        ("scpi-colorimeter", "tcp", True),
        ("plain-lines", "pty", False),
        ("plain-lines", "tcp", False),
    ):
        if transport == "pty" and sys.platform == "win32":
            continue
        costs = overheads_ms(dialect, transport, dwell=dwell)
        p95 = statistics.quantiles(costs, n=20)[-1]
        said = f"{INTEGRATION_S:g} s waited" if dwell else "not waited"
        print(
            f"{dialect:<18}{transport:<11}{said:<13}{len(costs):>5}{statistics.median(costs):>11.3f}{p95:>9.3f}"
            f"{max(costs):>10.3f}"
        )


if __name__ == "__main__":
    main()
