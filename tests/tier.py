"""How much a test run tries: the everyday tier, or everything (`make test-all` sets JETWRIGHT_TIER=all)."""

import os

TIER = os.environ.get("JETWRIGHT_TIER", "test")
HYPOTHESIS_EXAMPLES = {"test": 200, "all": 5000}[TIER]
RANDOM_RIGS = {"test": 40, "all": 400}[TIER]
