"""Files that come with the program: listed by name, found by name or path, read."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from groundwork.files import content
from groundwork.tables import nearest
from sequences.errors import SequenceError


@dataclass(frozen=True, slots=True)
class Shelf:
    """A folder of shipped TOML files of one kind."""

    folder: Path
    what: str
    """What one of them is called: ``sequence``, ``shooting list``."""

    def names(self) -> tuple[str, ...]:
        """List the names of those that come with the program."""
        return tuple(sorted(path.stem for path in self.folder.glob("*.toml")))

    def find(self, name_or_path: str | Path) -> Path:
        """Return the file of a shipped one's name or of a path; ``SequenceError`` when there is neither."""
        text = str(name_or_path)
        if text in self.names():
            return self.folder / f"{text}.toml"
        path = Path(text)
        try:
            if path.is_file():
                return path
        except (OSError, ValueError):
            pass  # a name no file can have
        hint = nearest(text, self.names(), "shipped are")
        raise SequenceError((f"{text}: there is no such {self.what} and no such file; {hint}",))

    def read(self, name_or_path: str | Path) -> tuple[bytes, str]:
        """Return the bytes of one and the name of its file; ``SequenceError`` where it cannot be read."""
        path = self.find(name_or_path)
        try:
            return content(path), path.name
        except OSError as error:
            raise SequenceError((f"{path}: cannot be read ({error.strerror})",)) from None
