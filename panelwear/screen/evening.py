"""What a person has read this evening, kept with the user's own state: once an evening is enough.

Only the time is kept, in one line. A file that cannot be read or written is none: then it is said again.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

from panelwear.folder.evening import EVENING_H
from panelwear.folder.user_state import users_state_folder

EVENING = timedelta(hours=EVENING_H)
"""Within this it is the same evening."""
LONGEST_BYTES = 64


class Evening:
    """Remembers until tomorrow that something was read."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    @classmethod
    def of_the_user(cls) -> Evening:
        """Return what the user at this machine has read."""
        return cls(users_state_folder())

    def read_at(self, name: str, now: datetime) -> datetime | None:
        """Return when it was read this evening; ``None``: it was not.

        Args:
            name: What was read.
            now: With its time zone, as what is returned.
        """
        try:
            with (self._folder / name).open("rb") as file:
                at = datetime.fromisoformat(file.read(LONGEST_BYTES).decode("ascii").strip())
        except (OSError, ValueError):
            return None
        # A time still to come is another clock's.
        return at if at.tzinfo is not None and timedelta(0) <= now - at < EVENING else None

    def note(self, name: str, now: datetime) -> None:
        """Remember that it has been read now."""
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            (self._folder / name).write_text(f"{now.isoformat(timespec='seconds')}\n", encoding="ascii")
        except OSError:
            return
