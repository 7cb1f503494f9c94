"""What a reading says it was taken with, when pieces of its rig are called otherwise and nothing else is."""

from jetwright.files.job import JobFile
from jetwright.plan.same_rig import taken_with
from jetwright.rig.check import check


def stands_with(read: JobFile, place: int = 0) -> str:
    """What a reading of a task would say today that it was taken with. [-]

    Parameters
    ----------
    read : JobFile
        From `read_job` or `job_in`. [-]
    place : int
        Of the task in its job, from 0. [-]

    Examples
    --------
    >>> from pathlib import Path
    >>> from jetwright.rig.example import JOB
    >>> stands_with(JobFile(Path("job.toml"), JOB, {}, {})).split()[::2]
    ['tip', 'hose', 'kit', 'gauge']

    References
    ----------
    Our own convention, docs/fit.md.
    """
    return taken_with(check(read.job, place))


def as_called_now(said: str, before: str, after: str) -> str:
    """What a reading was taken with, of a rig whose pieces have other names now and are the same. [-]

    What it says of another rig than the one before stays as it is.

    Parameters
    ----------
    said : str
        By the reading. [-]
    before : str
        What the rig stood with under the old names. [-]
    after : str
        What the same rig stands with under the new ones. [-]

    Examples
    --------
    >>> as_called_now("tip 1a hose 2b", "tip 1a hose 3c", "tip 4d hose 5e")
    'tip 4d hose 2b'

    References
    ----------
    Our own convention, docs/yard.md.
    """
    was, now = _parts(before), _parts(after)
    kept = {name: now.get(name, one) if was.get(name) == one else one for name, one in _parts(said).items()}
    return " ".join(f"{name} {one}" for name, one in kept.items())


def _parts(said: str) -> dict[str, str]:
    words = said.split()
    return dict(zip(words[::2], words[1::2], strict=False))
