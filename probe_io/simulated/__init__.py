"""A simulated colorimeter that answers real bytes over a socket or a pseudo-terminal, with faults on request."""

from probe_io.simulated.dialects import WHITE_D65, LightSource, listed, steady
from probe_io.simulated.faults import Fault, FaultPlan, parse_fault
from probe_io.simulated.script import ScriptError, ScriptServer, ScriptStep
from probe_io.simulated.server import ProbeServer, serve

__all__ = [
    "WHITE_D65",
    "Fault",
    "FaultPlan",
    "LightSource",
    "ProbeServer",
    "ScriptError",
    "ScriptServer",
    "ScriptStep",
    "listed",
    "parse_fault",
    "serve",
    "steady",
]
