"""Which tips of the box go into the tool of a task."""

from jetwright.errors import FileError, NotServedError, Problem, RigError
from jetwright.files.job import JobFile
from jetwright.plan.tip_box import Offer, box_of


def tips_that_fit(read: JobFile, place: int, branch: int | None = None) -> tuple[Offer, ...]:
    """The tips that go into a tool of a task, as many of each as are owned, the smallest hole first. [-]

    Parameters
    ----------
    read : JobFile
        From `read_job` or `job_in`. [-]
    place : int
        Of the task, from 0. [-]
    branch : int | None
        Whose tool, from 1; that of the target when not given. [-]

    Raises
    ------
    FileError
        With every problem of a rig that is not physical.

    Examples
    --------
    >>> from pathlib import Path
    >>> from jetwright.rig.example import JOB
    >>> [offer.name for offer in tips_that_fit(JobFile(Path("job.toml"), JOB, {}, {}), 0)]
    ['R12']

    References
    ----------
    Our own convention: by discharge coefficient times area.
    """
    try:
        offers = box_of(read.job, place, branch).offers
    except RigError as error:
        raise FileError([read.locate(problem) for problem in error.problems]) from error
    except NotServedError as error:
        raise FileError([read.locate(Problem((), error.code, facts=error.facts))]) from error
    return tuple(sorted(offers, key=lambda offer: (offer.area, offer.name)))
