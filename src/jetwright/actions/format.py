"""Put a job file in order."""

import difflib
from dataclasses import dataclass
from pathlib import Path

from jetwright.files.layout import format_job, write_formatted
from jetwright.files.texts import read_text


@dataclass(frozen=True, slots=True)
class Formatted:
    """A job file's text before and after it was put in order, and whether the file differs from that."""

    path: str
    before: str
    after: str
    changed: bool

    def diff(self) -> str:
        """What changes, line by line, as `diff -u` shows it."""
        before, after = self.before.splitlines(keepends=True), self.after.splitlines(keepends=True)
        lines = difflib.unified_diff(before, after, self.path, self.path)
        return "".join(line if line.endswith("\n") else line + "\n\\ No newline at end of file\n" for line in lines)


def format_job_file(path: str | Path, write: bool = True) -> Formatted:
    """A job file in the order of its tables, comments and written units kept. [-]

    Parameters
    ----------
    path : str or Path
        The job file. [-]
    write : bool
        Write it back, whole or not at all; False changes nothing. [-]

    Raises
    ------
    FileError
        Where the file cannot be read, is not TOML or cannot be written.

    Examples
    --------
    >>> format_job_file("no such job.toml")
    Traceback (most recent call last):
    jetwright.errors.FileError: : not_found

    References
    ----------
    Our own convention.
    """
    before = read_text(Path(path), links=False)
    after = format_job(before, str(path))
    changed = write_formatted(path) if write else after != before
    return Formatted(str(path), before, after, changed)
