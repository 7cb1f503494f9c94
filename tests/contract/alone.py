"""A plan and the rest of what is asked of the core, where only Python's own library and jetwright can be imported.

`test_alone.py` runs this file; it prints what it found as JSON.
"""

import json
import pickle
import sys


class OnlyTheStandardLibrary:
    """Refuses every module that is neither ours nor Python's."""

    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] not in sys.stdlib_module_names | {"jetwright"}:
            raise ImportError(f"{name} is blocked")


def plan(basis):
    """One gun on two hoses, planned and judged from the core; rule set and orders come in as data, pickled."""
    from jetwright.plan.task import plan_job
    from jetwright.rig.example import JOB

    [task] = plan_job(JOB, basis).tasks
    judged = sum(limit.verdict != "not_judged" for limit in task.limits)
    return {"nozzle": task.tools[0].nozzle, "pump": task.setting.pump_pressure, "judged": judged}


def besides(basis):
    """Tips, a change, a reading, two tasks compared and draws, of the same gun and a softer task of it."""
    import dataclasses

    from jetwright.plan.change import change_card
    from jetwright.plan.compare import compare
    from jetwright.plan.draws import draws_of
    from jetwright.plan.fit import fit_of
    from jetwright.plan.proving import proving_point
    from jetwright.plan.setting import machine_for, target_of
    from jetwright.plan.tip_order import Wish
    from jetwright.plan.tips import tips_for_job
    from jetwright.rig.check import check
    from jetwright.rig.description import Reading, Target
    from jetwright.rig.example import JOB

    softer = dataclasses.replace(JOB.task[0], name="Softer", target=Target(nozzle_pressure=600e5))
    job, rig = dataclasses.replace(JOB, task=(JOB.task[0], softer)), check(JOB)
    machine = machine_for(rig, *target_of(rig))
    proving = proving_point(rig, machine.state.pump_pressure)
    reading = Reading(JOB.task[0].name, basis.day, rig.start_speed, 0.97 * proving.gauge)
    drawn = draws_of(rig, machine, proving, 200).gauge
    return {
        "tips": tips_for_job(JOB, basis, Wish()).tasks[0].best[0].tips,
        "left": change_card(job, 0, 1, basis).left.gauge,
        "alive": sum(one.alive for one in fit_of(rig, machine, reading, basis.day).explanations),
        "softer_by": compare(job, basis, 0, 1).difference["nozzle"],
        "drawn": [drawn.low, drawn.high],
    }


if __name__ == "__main__":
    sys.meta_path.insert(0, OnlyTheStandardLibrary())
    started_with = set(sys.modules)  # an interpreter may load things of its own before the first line runs
    basis = pickle.loads(sys.stdin.buffer.read())
    answer = plan(basis) | besides(basis)
    loaded = {name.split(".")[0] for name in set(sys.modules) - started_with}
    print(json.dumps(answer | {"foreign": sorted(loaded - sys.stdlib_module_names - {"jetwright"})}))
