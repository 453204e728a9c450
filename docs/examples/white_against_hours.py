"""From a panel folder to a table and a picture: ``python docs/examples/white_against_hours.py DIR PICTURE``.

``rehearsal/harbour-desk``, which ``panelwear rehearse`` leaves, is such a folder.
"""

from __future__ import annotations

import sys

from panelwear.api import columns, open_folder

WANTED = ("white.Y", "white.u_prime", "white.v_prime")


def said(unit: object) -> str:
    """Return a unit behind a number; a pure number has none."""
    return "" if unit == "1" else f" {unit}"


def main(directory: str, picture: str) -> None:
    """Print white at every checkpoint and what changed, and store white's luminance against hours."""
    folder = open_folder(directory)
    for fault in folder.faults:
        print(f"{fault}.")

    white = [record for record in folder.figures() if record["name"] in WANTED]
    table = columns(white)  # a dict of lists: pandas.DataFrame(table), or a dict for any other library
    for hours, name, value, u, unit in zip(*(table[c] for c in ("hours", "name", "value", "u", "unit")), strict=True):
        print(f"{hours:>6g} h  {name:<13}  {value:.5g}{said(unit)}, standard uncertainty {u:.2g}")

    for change in folder.table("changes"):
        if change["since"] == "baseline" and change["verdict"] == "changed":
            print(f"{change['caption']}: {change['change']:+.3g} ± {change['half_width']:.2g}{said(change['unit'])}")

    folder.plot("white.Y").savefig(picture)


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    main(sys.argv[1], sys.argv[2])
