"""Checks of jetwright.actions.renamed."""

import pytest

from jetwright.actions.renamed import as_called_now

BEFORE, AFTER = "tip 1a hose 2b kit 3c gauge 4d", "tip 1a hose 5e kit 6f gauge 4d"


@pytest.mark.parametrize(
    ("said", "now"),
    [
        (BEFORE, AFTER),
        ("tip 1a hose 0000 kit 3c gauge 4d", "tip 1a hose 0000 kit 6f gauge 4d"),  # of another hose run: it stays so
        ("tip 0000 hose 0000 kit 0000 gauge 0000",) * 2,
        ("hose 2b", "hose 5e"),
        ("something typed", "something typed"),
    ],
)
def test_only_what_was_of_this_rig_follows_the_names(said, now):
    assert as_called_now(said, BEFORE, AFTER) == now
