"""What every test may count on: the tier's sizes, and a report of a full run."""

import collections
import datetime
import importlib.metadata
import os
import pathlib
import platform

import hypothesis
import pytest

os.environ["LANGUAGE"] = "en"  # before any catalogue is opened: the tests compare English

import jetwright
from tests.tier import HYPOTHESIS_EXAMPLES, RANDOM_RIGS, TIER

ROOT = pathlib.Path(__file__).parent.parent

hypothesis.settings.register_profile("test", max_examples=HYPOTHESIS_EXAMPLES, deadline=None, derandomize=True)
hypothesis.settings.register_profile("all", max_examples=HYPOTHESIS_EXAMPLES, deadline=None, print_blob=True)
hypothesis.settings.load_profile(TIER)


@pytest.fixture(scope="session")
def random_rigs():
    """How many random rigs a comparison with an independent solution takes."""
    return RANDOM_RIGS


@pytest.fixture(scope="session")
def root():
    """The folder of this checkout."""
    return ROOT


def pytest_collection_modifyitems(items):
    """Carry each published source with its test, across worker processes, into the report."""
    for item in items:
        for mark in item.iter_markers("published"):
            item.user_properties.append(("published", str(mark.args[0])))


class Report:
    """Counts a run and writes what a reader needs to repeat it."""

    def __init__(self, path):
        self.path = path
        self.outcomes = collections.Counter()
        self.published = collections.Counter()
        self.rooms = collections.Counter()
        self.seconds = 0.0

    def pytest_runtest_logreport(self, report):
        self.seconds += report.duration
        if report.when == "call" or report.outcome != "passed":
            outcome = report.outcome if report.when == "call" or report.skipped else "error"
            self.outcomes[outcome] += 1
            if outcome == "passed":
                parts = pathlib.PurePosixPath(report.nodeid.split("::")[0]).parts
                self.rooms["docstrings" if parts[0] == "src" else "/".join(parts[:2])] += 1
                self.published.update(source for name, source in report.user_properties if name == "published")

    def pytest_sessionfinish(self, session):
        self.path.parent.mkdir(parents=True, exist_ok=True)
        self.path.write_text("\n".join(self.lines()) + "\n", encoding="utf-8")

    def lines(self):
        yield "# A full test run"
        yield ""
        yield "Written by `make test-all`; not edited by hand."
        yield ""
        yield f"* Date: {datetime.datetime.now(datetime.UTC):%Y-%m-%d}"
        yield f"* Jetwright {jetwright.__version__}, {platform.python_implementation()} {platform.python_version()}, "
        yield f"  {platform.system()} {platform.machine()}"
        names = ("coolprop", "hypothesis", "numba", "numpy", "pint", "pydantic", "pytest", "scipy")
        yield f"* With {', '.join(f'{name} {importlib.metadata.version(name)}' for name in names)}"
        yield f"* Tier `{TIER}`: {HYPOTHESIS_EXAMPLES} examples a property, {RANDOM_RIGS} random rigs"
        yield f"* {', '.join(f'{count} {outcome}' for outcome, count in sorted(self.outcomes.items()))}; "
        yield f"  {self.seconds / 60:.0f} minutes of processor time"
        yield ""
        yield "## Where they stand"
        yield ""
        yield "| folder | passed |"
        yield "|---|---|"
        yield from (f"| {room} | {count} |" for room, count in sorted(self.rooms.items()))
        yield ""
        yield "## Checks against published values"
        yield ""
        yield "| source | passed |"
        yield "|---|---|"
        yield from (f"| {source.replace('|', '∣')} | {count} |" for source, count in sorted(self.published.items()))


def pytest_configure(config):
    """Write the report when asked to, in the one process that sees every result."""
    path = os.environ.get("JETWRIGHT_REPORT")
    if path and not hasattr(config, "workerinput"):
        config.pluginmanager.register(Report(ROOT / path))
