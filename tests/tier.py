"""How much a test run tries: the everyday tier, or everything (`make test-all` sets JETWRIGHT_TIER=all)."""

import os

TIER = os.environ.get("JETWRIGHT_TIER", "test")
HYPOTHESIS_EXAMPLES = {"test": 75, "all": 5000}[TIER]
RANDOM_RIGS = {"test": 16, "all": 400}[TIER]
PLANNED_RIGS = {"test": 4, "all": 80}[TIER]
"""A refused rig's plan looks for cures, each a whole plan: seconds, where a solve takes microseconds."""
FILLED_PORTS = {"test": 250, "all": 5000}[TIER]
SOLVED_PORTS = {"test": 15, "all": 300}[TIER]
SOLVER_SECONDS = {"test": 2.0, "all": 10.0}[TIER]
"""Ports filled by an independent solver, and what it may take for those few that it finds hard."""
KILLED_SERVERS = {"test": 3, "all": 50}[TIER]
"""How often a counter is killed while it writes."""
