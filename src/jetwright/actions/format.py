"""Put a job file in order."""

from dataclasses import dataclass
from pathlib import Path

from jetwright.files.layout import difference, format_job, replace_whole
from jetwright.files.texts import read_raw


@dataclass(frozen=True, slots=True)
class Formatted:
    """A job file's text before and after it was put in order, to the byte."""

    path: str
    before: str
    after: str

    @property
    def changed(self) -> bool:
        """Whether the file differs from that. [-]"""
        return self.after != self.before

    def diff(self) -> str:
        """What changes, line by line, as `diff -u` shows it. [-]"""
        return difference(self.path, self.before, self.after)


def format_job_file(path: str | Path, write: bool = True) -> Formatted:
    """A job file in the order of its tables, comments and written units kept. [-]

    Parameters
    ----------
    path : str or Path
        The job file; a regular file, not a link. [-]
    write : bool
        Write it back, whole or not at all; False changes nothing. [-]

    Raises
    ------
    FileError
        Where the file cannot be read, is not TOML or cannot be written.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = Path(folder) / "job.toml"
    ...     _ = file.write_text('title="Rack"')
    ...     print(format_job_file(file).changed, format_job_file(file).changed, file.read_text(), end="")
    True False title = "Rack"

    References
    ----------
    Our own convention.
    """
    path = Path(path)
    raw = read_raw(path, links=False)
    done = Formatted(str(path), raw.decode(), format_job(raw.decode(), str(path)))
    if done.changed:
        replace_whole(path, raw, done.after.encode(), write)
    return done
