import pytest

from probe_io.wire import CHECKSUMS

# CRC check values for "123456789": general CRC catalogues, CRC-16/IBM-3740 and CRC-16/MODBUS (from memory).
# xor8: the worked NMEA 0183 sentence most often printed in its guides (from memory).
CASES = [
    ("crc16-ccitt", b"123456789", "29B1"),
    ("crc16-modbus", b"123456789", "4B37"),
    ("xor8", b"GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,", "47"),
    ("sum8", b"123456789", "DD"),
    ("sum8-negated", b"123456789", "23"),
    ("none", b"123456789", ""),
]


@pytest.mark.parametrize(("name", "data", "digits"), CASES, ids=[case[0] for case in CASES])
def test_a_checksum_gives_its_check_value(name, data, digits):
    assert CHECKSUMS[name](data) == digits


def test_every_checksum_is_checked():
    assert {case[0] for case in CASES} == set(CHECKSUMS)
