"""Finding keys of a job file in what people read."""

import re

from jetwright.files.shapes import keys_of
from jetwright.rig.description import Job

_TABLES = "|".join(keys_of(Job))
KEY = re.compile(rf"(?<![\w.@/-])(?:(?:{_TABLES})(?:\.[\w-]+)+|[a-z]+(?:_[a-z0-9]+)+)")


def keys_in(text):
    """Keys with the table they stand in, and words joined by underscores."""
    return set(KEY.findall(text))
