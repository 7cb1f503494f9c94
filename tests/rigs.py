"""Random rigs for properties: a strategy over the description itself, of every kind of part, mostly sensible."""

from hypothesis import strategies as st

from jetwright.rig.description import (
    Branch,
    Bypass,
    Drive,
    Dump,
    Engine,
    Fitting,
    FlowAt,
    Hose,
    Job,
    Measured,
    Port,
    Pump,
    Relief,
    Supply,
    Tails,
    Target,
    Task,
    Tip,
    Tool,
    Unit,
)


def between(low, high):
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


@st.composite
def hoses(draw):
    bore = draw(between(0.004, 0.020))
    tails = draw(st.none() | st.builds(Tails, bore=between(0.6 * bore, bore), length=between(0.03, 0.2)))
    return Hose(bore, draw(between(2.0, 60.0)), roughness=draw(st.none() | between(0.0, 5e-5)), tails=tails)


@st.composite
def tips(draw, largest):
    if draw(st.integers(0, 4)) == 0:
        return Tip(rated=FlowAt(draw(between(5e-5, 6e-4)), draw(between(2e7, 2e8))))
    inlet = draw(st.sampled_from(["sharp", "rounded", "cone", "unknown"]))
    return Tip(draw(between(0.5e-3, largest)), inlet)


@st.composite
def tools(draw, tip):
    ports = tuple(
        Port(tip, draw(st.integers(1, 4)), angle=draw(between(0.0, 3.1)), skew=draw(st.just(0.0) | between(-0.5, 0.5)))
        for _ in range(draw(st.integers(1, 2)))
    )
    leak = draw(st.none() | st.builds(FlowAt, flow=between(1e-6, 3e-5), pressure=between(5e7, 2.5e8)))
    return Tool(
        kind="other",
        bore=draw(between(0.005, 0.012)),
        release="dump",
        ports=ports,
        loss_k=draw(between(0.0, 6.0)),
        dump=Dump(draw(between(0.003, 0.008))),
        leak=leak,
    )


@st.composite
def pumps(draw):
    start = draw(between(1.0, 3.0))
    top = draw(between(5.0, 12.0))
    rating = draw(between(5e7, 2.9e8))
    if draw(st.booleans()):
        return Pump(top_speed=top, start_speed=start, rating=rating, flow_per_turn=draw(between(5e-5, 6e-4)))
    size = {"plungers": draw(st.sampled_from([3, 5])), "plunger_diameter": draw(between(0.012, 0.04)), "stroke": 0.1}
    measured = ()
    if draw(st.integers(0, 3)) == 0:
        swept = size["plungers"] * 0.7854 * size["plunger_diameter"] ** 2 * 0.1
        measured = (Measured(4.0, 5e7, 4.0 * swept * draw(between(0.88, 0.96))),)
    return Pump(top_speed=top, start_speed=start, rating=rating, measured=measured, **size)


@st.composite
def units(draw):
    bypass = draw(
        st.one_of(
            st.builds(
                Bypass,
                kind=st.just("hand-set"),
                returns_to=st.sampled_from(["tank", "suction", "ground"]),
                full_open_area=between(5e-6, 4e-5),
            ),
            st.builds(
                Bypass,
                kind=st.just("regulating"),
                returns_to=st.just("tank"),
                accumulation=between(0.02, 0.15),
                spill=between(0.0, 0.1),
            ),
            st.builds(Bypass, kind=st.just("unloader"), returns_to=st.just("tank"), set=between(5e7, 2.9e8)),
        )
    )
    engine = Engine(((25.0, draw(between(5e4, 3e5))), (35.0, draw(between(3e5, 6e5)))))
    drive = draw(
        st.builds(Drive, kind=st.just("hydrostatic"), top_ratio=between(0.2, 0.4))
        | st.builds(Drive, kind=st.just("direct"), ratio=between(3.0, 6.0))
    )
    pump = draw(pumps())
    relief = (Relief(pump.rating),) if draw(st.booleans()) else ()
    return Unit("Random", drive, pump, bypass, engine=draw(st.sampled_from([engine, None])), relief=relief)


@st.composite
def jobs(draw):
    """A job of one task with one to four branches."""
    count = draw(st.integers(1, 4))
    stock_hoses = {f"H{index}": draw(hoses()) for index in range(3)}
    stock_tools, stock_tips = {}, {}
    for index in range(count):
        stock_tools[f"T{index}"] = draw(tools(f"P{index}"))
        stock_tips[f"P{index}"] = draw(tips(min(3e-3, stock_tools[f"T{index}"].bore)))
    runs = st.lists(st.sampled_from([*stock_hoses, "valve"]), max_size=3).map(tuple)
    rises = between(-30.0, 30.0)
    pressure = draw(between(1e7, 2.8e8))
    at = draw(st.integers(1, count))
    target = draw(
        st.sampled_from(
            [
                Target(nozzle_pressure=pressure, at=at),
                Target(pump_pressure=pressure),
                Target(flow=draw(between(1e-4, 1e-3)), at=at),
            ]
        )
    )
    if count == 1:
        task = Task("Random", target, draw(runs), "T0", rise=draw(rises))
    else:
        branches = tuple(Branch(f"T{index}", draw(runs), draw(rises)) for index in range(count))
        task = Task("Random", target, draw(runs), branches=branches)
    return Job(
        title="Random",
        supply=Supply(draw(between(0.0, 1e6)), 3e-3, draw(between(274.0, 333.0))),
        unit=draw(units()),
        task=(task,),
        hoses=stock_hoses,
        fittings={"valve": Fitting(0.008, draw(between(0.0, 5.0)))},
        tips=stock_tips,
        tools=stock_tools,
        altitude=draw(between(0.0, 1900.0)),
        air_temperature=draw(between(253.0, 318.0)),
    )
