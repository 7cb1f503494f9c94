"""A whole plan from the core, in a process where nothing but the standard library and jetwright can be imported.

`test_alone.py` runs this file; it prints what it found as JSON.
"""

import json
import sys

BAR, RPM, LITRES_A_MINUTE = 1e5, 1 / 60, 1e-3 / 60
TARGET = 850 * BAR


class OnlyTheStandardLibrary:
    """Refuses every module that is neither ours nor Python's."""

    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] not in sys.stdlib_module_names | {"jetwright"}:
            raise ImportError(f"{name} is blocked")


def plan():
    """One gun on two hoses, planned from the core."""
    from jetwright.plan.setting import machine_for, target_of
    from jetwright.rig import description as d
    from jetwright.rig.check import check

    pump = d.Pump(
        plungers=3,
        plunger_diameter=0.026,
        stroke=0.095,
        start_speed=130 * RPM,
        top_speed=520 * RPM,
        rating=1300 * BAR,
    )
    unit = d.Unit(
        name="Trailer 7",
        drive=d.Drive("hydrostatic", top_ratio=0.30),
        engine=d.Engine(power=((1400 * RPM, 120e3), (1900 * RPM, 165e3)), fuel_rate=212 / 3.6e9),
        pump=pump,
        bypass=d.Bypass("hand-set", "tank", full_open_area=16e-6),
    )
    gun = d.Tool("hand lance", bore=0.006, release="dump", ports=(d.Port("R12"),), loss_k=3.0, dump=d.Dump(bore=0.005))
    job = d.Job(
        title="Alone",
        supply=d.Supply(pressure=3 * BAR, flow=120 * LITRES_A_MINUTE, temperature=288.15),
        unit=unit,
        hoses={"S8-20": d.Hose(bore=0.008, length=20.0)},
        tips={"R12": d.Tip(bore=0.0012, inlet="rounded")},
        tools={"gun": gun},
        task=(d.Task("Plates by gun", d.Target(nozzle_pressure=TARGET), hose_run=("S8-20", "S8-20"), tool="gun"),),
    )
    rig = check(job, 0)
    state = machine_for(rig, *target_of(rig)).state
    foreign = {name.split(".")[0] for name in sys.modules} - sys.stdlib_module_names - {"jetwright", "__main__"}
    return {"nozzle": state.lines[0].nozzle, "pump": state.pump_pressure, "foreign": sorted(foreign)}


if __name__ == "__main__":
    sys.meta_path.insert(0, OnlyTheStandardLibrary())
    print(json.dumps(plan()))
