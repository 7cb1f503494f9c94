"""One rig, small and invented, for the examples in docstrings: a gun on two hoses, as the README plans it."""

from jetwright.rig.description import (
    Bypass,
    Drive,
    Dump,
    Engine,
    Hose,
    Job,
    Port,
    Pump,
    Supply,
    Target,
    Task,
    Tip,
    Tool,
    Unit,
)

BAR, RPM, LITRES_A_MINUTE = 1e5, 1.0 / 60.0, 1e-3 / 60.0

JOB = Job(
    title="Filter plates, hall 2",
    supply=Supply(pressure=3.0 * BAR, flow=120.0 * LITRES_A_MINUTE, temperature=288.15),
    unit=Unit(
        name="Trailer 7",
        engine=Engine(power=((1400.0 * RPM, 120e3), (1900.0 * RPM, 165e3)), fuel_rate=212.0 / 3.6e9),
        drive=Drive("hydrostatic", top_ratio=0.30),
        pump=Pump(
            plungers=3,
            plunger_diameter=0.026,
            stroke=0.095,
            start_speed=130.0 * RPM,
            top_speed=520.0 * RPM,
            rating=1300.0 * BAR,
        ),
        bypass=Bypass("hand-set", returns_to="tank", full_open_area=16e-6),
    ),
    hoses={"S8-20": Hose(bore=0.008, length=20.0)},
    tips={"R12": Tip(bore=0.0012, inlet="rounded")},
    tools={
        "gun": Tool("hand lance", bore=0.006, loss_k=3.0, release="dump", dump=Dump(bore=0.005), ports=(Port("R12"),))
    },
    task=(Task("Plates by gun", hose_run=("S8-20", "S8-20"), tool="gun", target=Target(nozzle_pressure=850.0 * BAR)),),
)
"""A job of one task: 850 bar at the tip."""
