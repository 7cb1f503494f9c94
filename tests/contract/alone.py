"""A whole plan from the core, in a process where nothing but the standard library and jetwright can be imported.

`test_alone.py` runs this file; it prints what it found as JSON.
"""

import json
import sys


class OnlyTheStandardLibrary:
    """Refuses every module that is neither ours nor Python's."""

    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] not in sys.stdlib_module_names | {"jetwright"}:
            raise ImportError(f"{name} is blocked")


def plan():
    """One gun on two hoses, planned and judged from the core; rule set and orders come in as data, pickled."""
    import pickle

    from jetwright.plan.task import plan_job
    from jetwright.rig.example import JOB

    [task] = plan_job(JOB, pickle.loads(sys.stdin.buffer.read())).tasks
    judged = sum(limit.verdict != "not_judged" for limit in task.limits)
    return {"nozzle": task.tools[0].nozzle, "pump": task.setting.pump_pressure, "judged": judged}


if __name__ == "__main__":
    sys.meta_path.insert(0, OnlyTheStandardLibrary())
    started_with = set(sys.modules)  # an interpreter may load things of its own before the first line runs
    answer = plan()
    loaded = {name.split(".")[0] for name in set(sys.modules) - started_with}
    print(json.dumps(answer | {"foreign": sorted(loaded - sys.stdlib_module_names - {"jetwright"})}))
