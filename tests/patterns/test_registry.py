"""The list of patterns, and what is said when one is asked for wrongly."""

from __future__ import annotations

import pytest

from patterns import Frame, PatternError, Rect, build, entry, names, raster
from patterns.parameters import Parameter

GIVEN: dict[str, dict[str, object]] = {
    "zone": {"rect": (1, 2, 30, 40)},
    "title-card": {"panel": "harbour-desk", "hours": "1460 h"},
}


def made(name: str, width: int = 640, height: int = 400, **more: object) -> Frame:
    return build(name, width, height, **{**GIVEN.get(name, {}), **more})  # type: ignore[arg-type]


def test_the_registry_lists_every_pattern() -> None:
    assert names() == (
        "field", "window", "stair", "smooth-ramp", "checkerboard", "pixel-checker", "zone", "strip", "spot",
        "near-black", "near-white", "geometry", "target", "title-card", "dot-grid", "grey-stairs", "pause", "warm-up",
    )  # fmt: skip


@pytest.mark.parametrize("name", names())
def test_every_pattern_says_what_it_is_and_makes_a_whole_picture(name: str) -> None:
    known = entry(name)
    assert known.summary
    assert known.make.__doc__ is not None
    assert "Geometry:" in known.make.__doc__ or "Geometry, " in known.make.__doc__
    assert "lit_share" in known.make.__doc__
    assert "ource" in known.make.__doc__
    for parameter in known.parameters:
        assert parameter.summary
        assert parameter.allowed
        if parameter.default is not None:
            assert parameter.check(parameter.default) == parameter.default
    frame = made(name)
    assert (frame.pattern, frame.width, frame.height) == (name, 640, 400)
    assert raster(frame).shape == (400, 640, 3)
    assert 0 < frame.lit_share <= 1
    assert frame.rect.right <= 640
    assert frame.rect.bottom <= 400


@pytest.mark.parametrize("name", names())
def test_no_patterns_geometry_depends_on_its_colour(name: str) -> None:
    assert made(name, codes=(10, 20, 30)).geometry_sha256() == made(name, codes=(31.25, 8, 3)).geometry_sha256()
    assert made(name).geometry_sha256() != made(name, height=401).geometry_sha256()


@pytest.mark.parametrize("name", names())
def test_the_same_request_gives_the_same_pixels(name: str) -> None:
    assert raster(made(name)).tobytes() == raster(made(name)).tobytes()


@pytest.mark.parametrize("name", names())
def test_one_pixel_either_shows_the_pattern_or_says_why_not(name: str) -> None:
    try:
        frame = build(name, 1, 1, **GIVEN.get(name, {}))  # type: ignore[arg-type]
    except PatternError as fault:
        assert name in str(fault)
        assert name not in {"field", "pixel-checker", "target", "pause", "warm-up"}
    else:
        assert raster(frame).shape == (1, 1, 3)
        assert name in {"field", "pixel-checker", "target", "pause", "warm-up"}


def test_the_nearest_name_is_offered() -> None:
    with pytest.raises(PatternError, match=r"did you mean checkerboard\?"):
        build("chekerboard", 10, 10)
    with pytest.raises(PatternError, match=r"did you mean share\?"):
        build("window", 10, 10, shares=0.1)
    with pytest.raises(PatternError, match="it has none"):
        build("field", 10, 10, share=0.1)


@pytest.mark.parametrize(
    ("name", "parameters", "said"),
    [
        ("window", {"share": 0}, "greater than 0 and at most 1"),
        ("window", {"share": "big"}, "a number"),
        ("window", {"share": True}, "a number"),
        ("window", {"share": float("nan")}, "a number"),
        ("window", {"shape": "round"}, "screen or square"),
        ("window", {"at": (0.5,)}, "two numbers"),
        ("window", {"at": "0.5"}, "two numbers"),
        ("window", {"collar_px": 1.5}, "a whole number"),
        ("checkerboard", {"columns": 0}, "at least 1"),
        ("smooth-ramp", {"mixed": 1}, "true or false"),
        ("stair", {"start": (0, 0)}, "three drive levels"),
        ("near-black", {"levels": []}, "a list of whole numbers"),
        ("near-black", {"levels": (1, 256)}, "at most 255"),
        ("title-card", {"panel": 5}, "text"),
        ("zone", {"rect": (0, 0, 0, 5)}, "w and h at least 1"),
        ("target", {"pitch_mm": (0, 0.2)}, "greater than 0"),
    ],
)
def test_a_bad_parameter_is_told_what_is_allowed(name: str, parameters: dict[str, object], said: str) -> None:
    with pytest.raises(PatternError, match=said) as caught:
        build(name, 100, 100, **parameters)  # type: ignore[arg-type]
    assert str(caught.value).startswith(f"pattern {name}: {next(iter(parameters))} = ")


@pytest.mark.parametrize("codes", [(256, 0, 0), (-1, 0, 0), (0, 0), "white", (0, float("nan"), 0), (True, 0, 0), 7])
def test_codes_outside_eight_bits_are_refused(codes: object) -> None:
    with pytest.raises(PatternError, match=r"three drive levels, 0\.\.255"):
        build("field", 10, 10, codes=codes)  # type: ignore[arg-type]
    with pytest.raises(PatternError, match="background"):
        build("field", 10, 10, background=codes)  # type: ignore[arg-type]


@pytest.mark.parametrize("side", [0, -5, 16385, 1.5, True])
def test_a_screen_has_whole_pixels(side: object) -> None:
    with pytest.raises(PatternError, match="1 to 16384"):
        build("field", side, 10)  # type: ignore[arg-type]
    with pytest.raises(PatternError, match="height"):
        build("field", 10, side)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("parameter", "text", "wanted"),
    [
        (Parameter("n", "integer", "n"), "12", 12),
        (Parameter("n", "number", "n"), "0.25", 0.25),
        (Parameter("n", "point", "n"), "0.1,0.9", (0.1, 0.9)),
        (Parameter("n", "rect", "n"), "1, 2, 3, 4", Rect(1, 2, 3, 4)),
        (Parameter("n", "codes", "n"), "255,0,128.5", (255.0, 0.0, 128.5)),
        (Parameter("n", "flag", "n"), "yes", True),
        (Parameter("n", "flag", "n"), "false", False),
        (Parameter("n", "flag", "n"), "0", False),
        (Parameter("n", "integers", "n"), "1,2,3", (1, 2, 3)),
        (Parameter("n", "integers", "n"), "7", (7,)),
        (Parameter("n", "choice", "n", choices=("a", "b")), "b", "b"),
        (Parameter("n", "text", "n"), "1,2", "1,2"),
    ],
)
def test_parameters_are_read_as_typed(parameter: Parameter, text: str, wanted: object) -> None:
    assert parameter.from_text(text) == wanted


@pytest.mark.parametrize(
    ("parameter", "text"),
    [
        (Parameter("n", "integer", "n"), "1.5"),
        (Parameter("n", "integer", "n"), "1,2"),
        (Parameter("n", "number", "n"), "wide"),
        (Parameter("n", "flag", "n"), "maybe"),
        (Parameter("n", "point", "n"), "1"),
        (Parameter("n", "choice", "n", choices=("a", "b")), "c"),
    ],
)
def test_what_cannot_be_read_is_told_what_is_allowed(parameter: Parameter, text: str) -> None:
    with pytest.raises(PatternError, match="is not allowed"):
        parameter.from_text(text)
