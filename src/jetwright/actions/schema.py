"""The JSON schema of a job file."""

from typing import Any

from jetwright.files import schema as door


def schema() -> dict[str, Any]:
    """The JSON schema of a job file, for editors and other programs. [-]

    Examples
    --------
    >>> schema()["type"]
    'object'

    References
    ----------
    JSON Schema, draft 2020-12; the keys are our own contract.
    """
    return door.schema()
