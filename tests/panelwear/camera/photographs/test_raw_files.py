"""Raw files as other cameras lay them out: order of filters, black, saturation, bits, borders, other sensors.

All are DNG files written here by tifffile with tags of the DNG specification (1.4, from memory), and read by LibRaw.
"""

from __future__ import annotations

import numpy as np
import pytest
import tifffile

from panelwear.camera.photographs.kinds import photo_file
from panelwear.camera.photographs.opening import opened_photograph
from panelwear.camera.photographs.photograph import Photograph
from panelwear.errors import UsageError

CFA = np.random.default_rng(3).integers(600, 3900, (260, 330)).astype(np.uint16)
BAYER = {"RGGB": (0, 1, 1, 2), "BGGR": (2, 1, 1, 0), "GRBG": (1, 0, 2, 1), "GBRG": (1, 2, 0, 1)}
NAMES = {"R": "red", "G": "green", "B": "blue"}
WHITE = (50717, "I", 1, 16383, False)
QUAD = (0, 0, 1, 1, 0, 0, 1, 1, 1, 1, 2, 2, 1, 1, 2, 2)
SIX_BY_SIX = (
    1,
    1,
    0,
    1,
    1,
    2,
    1,
    1,
    2,
    1,
    1,
    0,
    2,
    0,
    1,
    0,
    2,
    1,
    1,
    1,
    2,
    1,
    1,
    0,
    1,
    1,
    0,
    1,
    1,
    2,
    0,
    2,
    1,
    2,
    0,
    1,
)


def dng(path, cfa=CFA, *tags, bayer="RGGB", pattern=(2, 2), filters=None, **how):
    own = [(50706, "B", 4, (1, 4, 0, 0), False)]
    if pattern:
        each = filters or BAYER[bayer]
        own += [(33421, "H", 2, pattern, False), (33422, "B", len(each), each, False)]
    tifffile.imwrite(
        path, cfa, photometric=32803, planarconfig=1, compression=None, metadata=None, software=False, subfiletype=0,
        rowsperstrip=cfa.shape[0], extratags=sorted([*own, *tags]), **how,
    )  # fmt: skip
    return path


def black(levels, dim=(2, 2)):
    return [(50713, "H", 2, dim, False), (50714, "H", len(levels), tuple(levels), False)]


def active(top, left, bottom, right):
    return (50829, "I", 4, (top, left, bottom, right), False)


def read(path) -> Photograph:
    return opened_photograph(photo_file(path))


def blacks(photo):
    return [plane.black for plane in photo.planes]


@pytest.mark.parametrize(
    ("levels", "dim", "wanted"),
    [
        ((100,), (1, 1), [100, 100, 100, 100]),
        ((100, 110), (1, 2), [100, 110, 100, 110]),
        ((100, 110), (2, 1), [100, 100, 110, 110]),
        ((101, 102, 103, 104), (2, 2), [101, 102, 103, 104]),
        ((64,) * 8, (4, 2), [64, 64, 64, 64]),
        ((1, 2) * 4 + (3, 4) * 4, (2, 8), [1, 2, 3, 4]),
    ],
)
@pytest.mark.parametrize("bayer", list(BAYER))
def test_black_of_every_layout_is_taken_off_by_place(tmp_path, bayer, levels, dim, wanted):
    photo = read(dng(tmp_path / "a.dng", CFA, WHITE, *black(levels, dim), bayer=bayer))
    assert [plane.colour for plane in photo.planes] == [NAMES[letter] for letter in bayer]
    expected = np.tile(np.reshape(levels, dim), (2, 2))[:2, :2].ravel().tolist()
    assert blacks(photo) == expected == wanted


def test_black_that_repeats_over_more_than_two_rows_is_refused(tmp_path):
    with pytest.raises(UsageError, match=r"a\.dng: its black level repeats over 4 x 4 pixels, which is not read"):
        read(dng(tmp_path / "a.dng", CFA, WHITE, *black(range(100, 116), (4, 4))))


def test_black_without_any_tag_is_0_and_in_fractions_is_one(tmp_path):
    assert blacks(read(dng(tmp_path / "a.dng", CFA, WHITE))) == [0, 0, 0, 0]
    fractions = [(50713, "H", 2, (2, 2), False), (50714, "2I", 4, (641, 10, 642, 10, 643, 10, 644, 10), False)]
    assert blacks(read(dng(tmp_path / "b.dng", CFA, WHITE, *fractions))) == pytest.approx([64.1, 64.2, 64.3, 64.4])


@pytest.mark.parametrize("top", [8, 9])
@pytest.mark.parametrize("left", [6, 7])
@pytest.mark.parametrize("bayer", list(BAYER))
def test_a_border_around_the_picture_moves_neither_colours_nor_black(tmp_path, bayer, top, left):
    """Filters and black begin at the corner of the active area, which LibRaw moves to even rows and columns."""
    levels = (101, 102, 103, 104)
    photo = read(dng(tmp_path / "a.dng", CFA, WHITE, *black(levels), active(top, left, 250, 320), bayer=bayer))
    row, column = top + top % 2, left + left % 2
    assert photo.size_px == (320 - column, 250 - row)
    for plane in photo.planes:
        place = 2 * ((row + plane.top - top) % 2) + (column + plane.left - left) % 2
        assert plane.colour == NAMES[bayer[place]] and plane.black == levels[place]
        seen = CFA[row + plane.top : 250 : 2, column + plane.left : 320 : 2]
        np.testing.assert_array_equal(plane.stored, seen)


def test_where_a_covered_border_is_told_black_is_what_it_holds(tmp_path):
    cfa = CFA.copy()
    cfa[:, :8] = 320
    covered = (50830, "I", 4, (0, 0, 260, 8), False)
    photo = read(dng(tmp_path / "a.dng", cfa, WHITE, *black((64,) * 4), active(0, 8, 260, 330), covered))
    assert blacks(photo) == pytest.approx([320] * 4, abs=1)


@pytest.mark.parametrize("flip", [1, 3, 6, 8])
def test_a_turned_camera_changes_nothing_about_the_sensor(tmp_path, flip):
    photo = read(dng(tmp_path / "a.dng", CFA, WHITE, *black((64,) * 4), (274, "H", 1, flip, False)))
    assert photo.size_px == (330, 260)
    np.testing.assert_array_equal(photo.planes[3].stored, CFA[1::2, 1::2])


@pytest.mark.parametrize("size", [(261, 331), (260, 331), (261, 330)])
def test_odd_sizes(tmp_path, size):
    cfa = np.resize(CFA, size)
    photo = read(dng(tmp_path / "a.dng", cfa, WHITE, *black((64,) * 4)))
    for plane in photo.planes:
        np.testing.assert_array_equal(plane.stored, cfa[plane.top :: 2, plane.left :: 2])


@pytest.mark.parametrize("bits", [12, 14])
def test_numbers_packed_in_12_and_14_bits(tmp_path, bits):
    """Packed row by row, the most significant bit first, as TIFF 6.0 has it; packed by numpy here."""
    wide = np.unpackbits(CFA.astype(">u2")[..., None].view(np.uint8), axis=-1)[..., 16 - bits :]
    packed = np.packbits(wide.reshape(CFA.shape[0], -1), axis=1)
    path = dng(tmp_path / "a.dng", packed, (50717, "I", 1, 2**bits - 1, False), *black((64,) * 4))
    with tifffile.TiffFile(path, mode="r+b") as tiff:
        tiff.pages.first.tags[256].overwrite(CFA.shape[1])
        tiff.pages.first.tags[258].overwrite(bits)
    photo = read(path)
    assert photo.size_px == (330, 260)
    for plane in photo.planes:
        np.testing.assert_array_equal(plane.stored, CFA[plane.top :: 2, plane.left :: 2])
        assert plane.white == pytest.approx(64 + 0.98 * (2**bits - 1 - 64))


def test_numbers_of_16_bits_and_a_table_to_linear_ones(tmp_path):
    photo = read(dng(tmp_path / "a.dng", CFA * 16, (50717, "I", 1, 65535, False), *black((64,) * 4)))
    np.testing.assert_array_equal(photo.planes[0].stored, CFA[::2, ::2] * 16)
    table = (50712, "H", 4096, tuple((np.arange(4096) * 4).tolist()), False)
    linear = read(dng(tmp_path / "b.dng", CFA, WHITE, *black((64,) * 4), table))
    np.testing.assert_array_equal(linear.planes[0].stored, CFA[::2, ::2] * 4)


def test_saturation_is_seen_where_the_file_does_not_say_where_it_is(tmp_path):
    """Without WhiteLevel LibRaw takes 65535, which a sensor of 14 bits never reaches."""
    cfa = CFA.copy()
    cfa[100:160, 100:160] = 16383
    burnt, dim = read(dng(tmp_path / "a.dng", cfa)), read(dng(tmp_path / "b.dng", CFA))
    assert sum(int(plane.saturated().sum()) for plane in burnt.planes) == 3600
    assert not any(plane.saturated().any() for plane in dim.planes)
    flat = np.full_like(CFA, 520)  # a dark frame without noise is not saturated
    assert not any(plane.saturated().any() for plane in read(dng(tmp_path / "c.dng", flat)).planes)


@pytest.mark.parametrize(
    ("pattern", "filters"),
    [((6, 6), SIX_BY_SIX), ((4, 4), QUAD), ((), None), ((2, 2), (0, 0, 1, 2))],
)  # fmt: skip
def test_other_sensors_are_a_sentence(tmp_path, pattern, filters):
    with pytest.raises(UsageError, match=r"a\.dng: its sensor has no red, green and blue filters of 2 x 2 pixels"):
        read(dng(tmp_path / "a.dng", CFA, WHITE, *black((64,) * 4), pattern=pattern, filters=filters))


def test_other_colours_are_a_sentence(tmp_path):
    plane_colours = (50710, "B", 4, (3, 4, 5, 1), False)
    with pytest.raises(UsageError, match="has no red, green and blue filters"):
        read(dng(tmp_path / "a.dng", CFA, WHITE, *black((64,) * 4), plane_colours, filters=(3, 4, 5, 1)))


def test_sensor_data_in_a_folder_within_the_first_page(tmp_path):
    """As many cameras lay a DNG out: a small preview first, the sensor's numbers in a folder of its own."""
    path = tmp_path / "a.dng"
    preview = np.zeros((60, 80, 3), np.uint8)
    own = [(33421, "H", 2, (2, 2), False), (33422, "B", 4, BAYER["GBRG"], False), WHITE, *black((101, 102, 103, 104)),
           active(1, 1, 260, 330)]  # fmt: skip
    with tifffile.TiffWriter(path) as tiff:
        tiff.write(preview, photometric="rgb", subifds=1, subfiletype=1, metadata=None, software=False,
                   extratags=[(50706, "B", 4, (1, 4, 0, 0), False), (271, "s", 0, "maker", False)])  # fmt: skip
        tiff.write(CFA, photometric=32803, subfiletype=0, metadata=None, software=False, planarconfig=1,
                   compression=None, rowsperstrip=260, extratags=sorted(own))  # fmt: skip
    photo = read(path)
    assert photo.size_px == (328, 258) and photo.taken.camera == "maker"
    # The visible frame begins one row and one column within the active area.
    assert [plane.colour for plane in photo.planes] == ["green", "red", "blue", "green"] and blacks(photo) == [
        104,
        103,
        102,
        101,
    ]
    np.testing.assert_array_equal(photo.planes[0].stored, CFA[2::2, 2::2])
