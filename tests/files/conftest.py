"""The reference job, and a way to read a changed copy of it."""

import pytest

from jetwright.errors import FileError
from jetwright.files.job import read_job


@pytest.fixture(scope="session")
def reference(root):
    """The text of the reference job file, without the rules of its site, which lie in a file beside it."""
    text = (root / "examples" / "reference" / "job.toml").read_text(encoding="utf-8")
    return "".join(line for line in text.splitlines(keepends=True) if not line.startswith("site_rules = "))


@pytest.fixture(scope="session")
def folder(tmp_path_factory, root):
    """A folder with the reference job's yard file in it."""
    made = tmp_path_factory.mktemp("job")
    (made / "yard.toml").write_bytes((root / "examples" / "reference" / "yard.toml").read_bytes())
    return made


@pytest.fixture(scope="session")
def problems_of(folder):
    """Every problem that reading a text, or bytes, as a job file gives; none when it is read."""

    def read(text):
        path = folder / "job.toml"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        try:
            read_job(path)
        except FileError as error:
            return error.problems
        return []

    return read
