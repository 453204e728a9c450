"""Turn the photographs of a shoot into maps of light; the photographs themselves are never changed."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from panelwear.errors import UsageError
from panelwear.telling.out import tell
from panelwear.telling.parts import EMPTY, Column, Part, Prose, aside, grid, paragraphs
from panelwear.telling.progress import bar
from panelwear.telling.words import counted

if TYPE_CHECKING:
    from panelwear.camera.photographs.kinds import PhotoFile
    from panelwear.camera.photographs.looks import Look
    from panelwear.camera.photographs.matching import Matched
    from panelwear.camera.photographs.shoot_of import TheShoot
    from panelwear.folder.panel import Panel
    from panelwear.panel.response import Response

NONE = "none"
"""What is typed for a photograph of no shot."""
SHADINGS = ("even-surface", "poses", "same-set-up")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("directory", metavar="DIR", type=Path, help="panel folder (panelwear new)")
    parser.add_argument(
        "files", metavar="FILES", type=Path, nargs="+", help="photographs of one shoot, or their folder"
    )
    parser.add_argument("--dry-run", action="store_true", help="say which photograph is taken for which shot, no more")
    parser.add_argument(
        "--as",
        dest="said",
        metavar="FILE=SHOT",
        action="append",
        default=[],
        help="this photograph is of that shot, or of 'none'; may be repeated",
    )
    parser.add_argument("--checkpoint", metavar="NAME", help="whose photographs they are, where no title card tells")
    parser.add_argument("--shoot", metavar="NAME", help="and of which shoot of it (the last)")
    parser.add_argument("--shading", choices=SHADINGS, help="how the lens's fall-off is taken out (the best there is)")


def run(arguments: argparse.Namespace) -> int:
    """Match the photographs to shots, read them, write the maps; exit code 2 where a field was refused."""
    from panelwear.camera.photographs.kinds import photo_files
    from panelwear.camera.photographs.matching import in_order, matched, misfit
    from panelwear.camera.photographs.shoot_of import the_shoot
    from panelwear.folder.panel import load_panel

    panel = load_panel(arguments.directory)
    given, left_out = photo_files(arguments.files)
    files = _unique(given)
    names = [file.path.name for file in files]
    looks, for_screens = _looked_at(files, quiet=arguments.quiet)
    shoot = the_shoot(panel, looks, names, arguments.checkpoint, arguments.shoot)
    said = _said(arguments.said, files, shoot)
    order = in_order(looks, names)
    found = matched(looks, order, shoot.shots, shoot.frames, said)
    if for_screens:
        other = matched(for_screens, order, shoot.shots, shoot.frames, said)
        if misfit(other, shoot.shots) < misfit(found, shoot.shots):
            looks, found = for_screens, other
    if left_out:
        some = ", ".join(path.name for path in left_out[:3]) + (" and others" if left_out[3:] else "")
        tell(
            aside(*paragraphs(f"Left out, as no photographs or a JPEG beside a raw file: {some}.")),
            quiet=arguments.quiet,
        )
    # With --dry-run the table is what was asked for.
    tell(aside(*_table(files, looks, found, shoot)), quiet=arguments.quiet and not arguments.dry_run)
    _refuse_unsure([files[one.number].path.name for one in found if not one.is_sure])
    if arguments.dry_run:
        return 0
    return _read(arguments, panel, shoot, files, found)


def _refuse_unsure(names: Sequence[str]) -> None:
    if names:
        more = f" and {len(names) - 1} more" if names[1:] else ""
        raise UsageError(
            f"{names[0]}{more}: does not look like the shot it stands in the place of; say what it is with"
            f" --as '{names[0]}=SHOT', or --as '{names[0]}={NONE}'"
        )


def _unique(files: Sequence[PhotoFile]) -> list[PhotoFile]:
    """Leave out what was given twice: two equal frames would count as two and tell no noise."""
    first: dict[str, PhotoFile] = {}
    for file in files:
        if file.sha256 in first and file.path.resolve() != first[file.sha256].path.resolve():
            raise UsageError(f"{file.path}: is a copy of {first[file.sha256].path}; give each photograph once")
        first.setdefault(file.sha256, file)
    return list(first.values())


def _looked_at(files: Sequence[PhotoFile], *, quiet: bool) -> tuple[list[Look], list[Look]]:
    """Look at each photograph; and once more as if made for screens, where any may be, else nothing."""
    from panelwear.camera.photographs.looks import look_at
    from panelwear.camera.photographs.opening import opened_photograph
    from panelwear.camera.photographs.raster import as_made_for_screens

    found, for_screens = [], []
    with bar(quiet=quiet) as says:
        for number, file in enumerate(files):
            says.share(number / len(files), f"looking at {file.path.name}")
            photo = opened_photograph(file)
            found.append(look_at(photo))
            other = as_made_for_screens(photo)
            for_screens.append(found[-1] if other is None else look_at(other))
    return found, [] if all(one is other for one, other in zip(found, for_screens, strict=True)) else for_screens


def _said(typed: Sequence[str], files: Sequence[PhotoFile], shoot: TheShoot) -> dict[int, str | None]:
    shots = {one.name for one in shoot.shots}
    found: dict[int, str | None] = {}
    for text in typed:
        file, mark, shot = text.rpartition("=")
        own = [n for n, one in enumerate(files) if file in {one.path.name, str(one.path)}]
        if not mark or not own:
            raise UsageError(f"--as {text}: wanted FILE=SHOT with one of the photographs that are given")
        if shot not in shots | {NONE}:
            raise UsageError(f"--as {text}: this shoot has no shot '{shot}'; there are {', '.join(sorted(shots))}")
        found |= dict.fromkeys(own, None if shot == NONE else shot)
    return found


COLUMNS = (
    Column("photograph"), Column("shot"), Column("looks like"), Column("exposure", "s", number=True),
    Column("taken", optional=True),
)  # fmt: skip


def _table(files: Sequence[PhotoFile], looks: Sequence[Look], found: Sequence[Matched], shoot: TheShoot) -> list[Part]:
    rows = []
    for one in sorted(found, key=lambda m: (looks[m.number].taken.at is None, looks[m.number].taken.at, m.number)):
        look = looks[one.number]
        seems = {"field": f"{look.channel} field", None: "unclear"}.get(look.kind, look.kind or "unclear")
        mark = "" if one.is_sure else " ?"
        exposure = "-" if look.taken.exposure_s is None else f"{look.taken.exposure_s:.3g}"
        taken = "-" if look.taken.at is None else look.taken.at.strftime("%Y-%m-%d %H:%M:%S")
        rows.append((files[one.number].path.name, (one.shot or NONE) + mark, seems, exposure, taken))
    missing = [s.name for s in shoot.shots if s.kind != "title-card" and s.name not in {one.shot for one in found}]
    head = f"{shoot.name} of checkpoint {shoot.checkpoint.name}, {counted(len(files), 'photograph')}"
    if not shoot.label_read:
        head += "; no title card was read, so nothing but you says whose they are"
    parts: list[Part] = [Prose(f"{head}."), EMPTY, grid(COLUMNS, rows, otherwise="the photographs themselves")]
    if missing:
        parts += paragraphs(f"Without a photograph: {', '.join(missing)}.")
    return [*parts, EMPTY]


def _response(panel: Panel, shoot: TheShoot) -> Response:
    """Return the response of a grey field that was known at this checkpoint."""
    from panelwear.folder.checkpoint import all_of
    from panelwear.run.plan import resolver_of
    from sequences.geometry import FULL
    from sequences.model import Level, Patch
    from sequences.places import centre

    there = all_of(panel.directory)
    known = there[: [one.name for one in there].index(shoot.checkpoint.name) + 1]
    place = centre(panel.facts())
    patch = Patch("shoot", place, "grey", Level("code", 128.0), FULL.label, "photograph", FULL.pattern)
    return resolver_of(panel, known).response_for(patch)[0]


def _read(
    arguments: argparse.Namespace, panel: Panel, shoot: TheShoot, files: Sequence[PhotoFile], found: Sequence[Matched]
) -> int:
    from panelwear.camera.photographs.read_files import save_read
    from panelwear.camera.photographs.read_told import parts_of
    from panelwear.camera.photographs.reading import read_shoot
    from panelwear.camera.photographs.setup import Files

    of: dict[str, tuple[PhotoFile, ...]] = {}
    for one in found:
        if one.shot is not None:
            of[one.shot] = (*of.get(one.shot, ()), files[one.number])
    if not any(shot.kind == "field" and shot.name in of for shot in shoot.shots):
        raise UsageError("none of the photographs is of a field; there is nothing a map could be made of")
    with bar(quiet=arguments.quiet) as says:
        read = read_shoot(Files(panel, shoot.shots, of), _response(panel, shoot), arguments.shading, says.share)
    written = save_read(shoot.checkpoint.directory, shoot.name, read, files, [one.shot for one in found])
    folder = shoot.checkpoint.directory
    outside = sum(folder.resolve() not in file.path.resolve().parents for file in files)
    tell(parts_of(read, outside, str(folder / "photos"), str(written[-1].parent)), quiet=arguments.quiet)
    return UsageError.exit_code if any(one.map is None for one in read.fields) else 0
