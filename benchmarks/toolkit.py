"""EPANET's toolkit in process: the library that wntr carries, called without a wrapper between.

As fair and as fast as it will go: the project is opened once; a solve sets the inflow that a speed gives, runs the
hydraulics, from scratch as ours or warm from the state before, and reads one pressure. The inflow is told what a turn
delivers at the pressure the rig is meant for, which the toolkit itself could not find.
"""

import ctypes
import importlib.util
import math
import platform
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

from benchmarks.rigs import Rig
from jetwright.water.state import viscosity_of

GRAVITY = 32.2 * 0.3048  # m/s², the toolkit's own
LITRES_A_MINUTE = 60000.0
BASE_DEMAND, PRESSURE = 1, 11
AFRESH = 10  # flows made anew, nothing saved


def library() -> ctypes.CDLL:
    """EPANET 2.2 as wntr carries it for this machine; OSError where there is none."""
    found = importlib.util.find_spec("wntr")
    if found is None or not found.submodule_search_locations:
        raise OSError("wntr is not installed")
    arm = platform.machine().lower() in ("arm64", "aarch64")
    names = {
        ("linux", False): "linux-x64/libepanet22.so",
        ("darwin", False): "darwin-x64/libepanet22.dylib",
        ("darwin", True): "darwin-arm/libepanet2.dylib",
        ("win32", False): "windows-x64/epanet22.dll",
    }
    name = names.get((sys.platform, arm))
    if name is None:
        raise OSError("wntr carries no EPANET for this machine")
    return ctypes.CDLL(str(Path(found.submodule_search_locations[0]) / "epanet" / "libepanet" / name))


def described(rig: Rig) -> str:
    """The rig as an EPANET input: junctions, hoses by Darcy-Weisbach, each jet a throttle into the open."""
    n = rig.network
    density, g = n.water.reference_density, GRAVITY
    junctions, pipes, valves, curves = ["P 0 -1"], [], [], []

    def run(first: int, last: int, start: str, end: str, extra: float = 0.0) -> None:
        here = start
        for index in range(first, last):
            piece, there = n.pieces[index], end if index == last - 1 else f"J{index}"
            if there != "P" and f"{there} 0 0" not in junctions:
                junctions.append(f"{there} 0 0")
            k = extra * piece.bore**4 if index == last - 1 else 0.0
            pipes.append(
                f"H{index} {here} {there} {piece.length} {piece.bore * 1e3} {piece.roughness * 1e3} {k + piece.loss_k}"
            )
            here = there

    run(0, n.main, "P", "M")
    for number, line in enumerate(n.lines):
        run(line.first, line.last, "M" if n.main else "P", f"N{number}", line.loss_k / line.bore**4)
        valves.append(f"V{number} N{number} R {math.sqrt(4.0 * line.outlet / math.pi) * 1e3} TCV 1.0 0")
    if n.bypass.full_flow > 0.0:
        opening, full = n.bypass.opening / (density * g), n.bypass.full_flow / density * LITRES_A_MINUTE
        curves += [f"1 0 {opening}", f"1 {full} {opening * (1.0 + n.bypass.accumulation)}"]
        valves.append("B P R 8 GPV 1 0")
    viscosity = viscosity_of(n.water, n.water.ambient) / density
    sections = {
        "JUNCTIONS": junctions,
        "RESERVOIRS": ["R 0"],
        "PIPES": pipes,
        "VALVES": valves,
        "CURVES": curves,
        "TIMES": ["DURATION 0"],
        "OPTIONS": ["UNITS LPM", "HEADLOSS D-W", f"VISCOSITY {viscosity}", "TRIALS 200", "ACCURACY 0.001"],
    }
    return "\n".join(f"[{name}]\n" + "\n".join(rows) for name, rows in sections.items()) + "\n[END]\n"


def solver(rig: Rig, warm: bool) -> Callable[[float], float]:
    """Pump pressure [Pa] at a speed [rev/s]."""
    lib, project = library(), ctypes.c_void_p()
    with tempfile.TemporaryDirectory() as folder:
        at = [str(Path(folder) / name).encode() for name in ("rig.inp", "rig.rpt", "rig.out")]
        Path(at[0].decode()).write_text(described(rig), encoding="utf-8")

        def must(code: int) -> None:
            if code:
                raise RuntimeError(f"EPANET answered {code}")

        must(lib.EN_createproject(ctypes.byref(project)))
        must(lib.EN_open(project, *at))
    index = ctypes.c_int()
    must(lib.EN_getnodeindex(project, b"P", ctypes.byref(index)))
    must(lib.EN_openH(project))
    must(lib.EN_initH(project, 0))
    lib.EN_setnodevalue.argtypes = [ctypes.c_void_p, ctypes.c_int, ctypes.c_int, ctypes.c_double]
    density = rig.network.water.reference_density
    inflow, pascal = -rig.turn / density * LITRES_A_MINUTE, density * GRAVITY
    read, time = ctypes.c_double(), ctypes.c_long()
    into, when, node = ctypes.byref(read), ctypes.byref(time), index.value
    put, begin, run, get = lib.EN_setnodevalue, lib.EN_initH, lib.EN_runH, lib.EN_getnodevalue

    def solve(speed: float) -> float:
        put(project, node, BASE_DEMAND, inflow * speed)
        if not warm:
            begin(project, AFRESH)
        code = run(project, when)
        if code:
            raise RuntimeError(f"EPANET answered {code}")
        get(project, node, PRESSURE, into)
        return read.value * pascal

    return solve
