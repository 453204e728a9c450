"""Say how the check values of the tests are known, and which of them the independent computation gives otherwise.

Run ``python -m benchmarks.check_values``; with ``--write`` what is computed is stored.
"""

from __future__ import annotations

import json
import sys
from collections import Counter

from tests.references import PATH, values
from tests.references.independent import COMPUTED, computed, rounded


def main() -> int:
    """Compare and count, or write with ``--write``."""
    records = values("")
    for record in records:
        if record["how_known"].startswith(COMPUTED):
            again = rounded(computed(record), record["tolerance"])
            if again != record["expected"]:
                print(f"{record['id']}: stored {record['expected']}, computed {again}")
            record["expected"] = again
    for how, count in Counter(record["how_known"].partition(" from ")[0] for record in records).most_common():
        print(f"{count:4} {how}")
    if "--write" in sys.argv[1:]:
        PATH.write_text(json.dumps(records, indent=0, ensure_ascii=False) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
