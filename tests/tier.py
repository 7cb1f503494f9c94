"""How much a test run tries: the everyday tier, or everything (`make test-all` sets JETWRIGHT_TIER=all)."""

import os

TIER = os.environ.get("JETWRIGHT_TIER", "test")
HYPOTHESIS_EXAMPLES = {"test": 200, "all": 5000}[TIER]
RANDOM_RIGS = {"test": 40, "all": 400}[TIER]
PLANNED_RIGS = {"test": 12, "all": 80}[TIER]
"""A refused rig's plan looks for cures, each a whole plan: seconds, where a solve takes microseconds."""
