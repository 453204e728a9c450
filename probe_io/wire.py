"""What is done with the bytes on the line: the transcript of them all, and checksums behind a line.

The transcript is what a person sends along when something is wrong. Checksums are upper-case hexadecimal digits.
"""

from __future__ import annotations

import binascii
from collections.abc import Callable
from dataclasses import dataclass
from functools import reduce

SENT, RECEIVED, DROPPED = ">", "<", "!"
"""Direction marks: sent, received, thrown away as stale."""


@dataclass(frozen=True, slots=True)
class TranscriptLine:
    """Some bytes that went one way at one time."""

    at_s: float
    """Seconds on the machine's monotonic clock."""
    direction: str
    data: bytes

    def __str__(self) -> str:
        """Write time, direction, the bytes in hexadecimal, and as text with escapes."""
        return f"{self.at_s:14.6f} {self.direction} {self.data.hex(' ')}  |  {escaped(self.data)}"


Record = Callable[[TranscriptLine], None]
"""Takes each line of a transcript as it happens."""


def escaped(data: bytes, limit: int = 80) -> str:
    """Show bytes as text a person can read, control characters as escapes, at most ``limit`` of them."""
    shown = repr(data[:limit])[2:-1]
    return f"{shown}… ({len(data)} bytes)" if len(data) > limit else shown


def _xor8(data: bytes) -> str:
    return f"{reduce(lambda a, b: a ^ b, data, 0):02X}"


def _sum8(data: bytes) -> str:
    return f"{sum(data) & 0xFF:02X}"


def _sum8_negated(data: bytes) -> str:
    return f"{-sum(data) & 0xFF:02X}"


def _crc16_ccitt(data: bytes) -> str:
    return f"{binascii.crc_hqx(data, 0xFFFF):04X}"


def _crc16_modbus(data: bytes) -> str:
    register = 0xFFFF
    for byte in data:
        register ^= byte
        for _ in range(8):
            register = (register >> 1) ^ 0xA001 if register & 1 else register >> 1
    return f"{register:04X}"


CHECKSUMS: dict[str, Callable[[bytes], str]] = {
    "none": lambda _data: "",
    "xor8": _xor8,
    "sum8": _sum8,
    "sum8-negated": _sum8_negated,
    "crc16-ccitt": _crc16_ccitt,
    "crc16-modbus": _crc16_modbus,
}
"""Name in the instrument file → function from the line's bytes to its digits.

``xor8``: as in NMEA 0183. ``sum8``: sum modulo 256; ``sum8-negated``: its two's complement.
``crc16-ccitt``: polynomial 0x1021, start 0xFFFF (ITU-T V.41 family). ``crc16-modbus``: 0x8005 reflected, start 0xFFFF.
"""
