"""Checksums that serial instruments put behind a line, as upper-case hexadecimal digits."""

from __future__ import annotations

import binascii
from collections.abc import Callable
from functools import reduce


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
