"""The balance, compiled: the same kernels, registered with numba as they stand. The one module that imports numba.

Parts become structured arrays whose field names are the dataclasses', so `hose.bore` is one text. The compiled code is
cached per user, mode 0700, in a folder named after a hash of every module that holds a kernel: numba itself does not
notice when a function that a cached one calls has changed.
"""

import hashlib
import importlib.metadata
import inspect
import os
import stat
import sys
from dataclasses import astuple, dataclass, fields
from pathlib import Path
from typing import Any

import jetwright.solve.many
import jetwright.solve.multisets
import jetwright.solve.states  # noqa: F401  both register every kernel that they and the balance stand on
from jetwright.kernel import KERNELS


def kernel_hash() -> str:
    """A hash of every module that holds a kernel, and of what compiles it. [-]

    Examples
    --------
    >>> len(kernel_hash())
    16

    References
    ----------
    Our own convention.
    """
    sources = sorted({inspect.getfile(one) for one in KERNELS})
    digest = hashlib.sha256(f"{sys.version_info[:2]} {importlib.metadata.version('numba')}".encode())
    for source in sources:
        digest.update(Path(source).read_bytes())
    return digest.hexdigest()[:16]


def cache_folder() -> Path | None:
    """Where this user's compiled kernels lie, made with mode 0700; None when it cannot be had or is not ours alone. [-]

    Examples
    --------
    >>> folder = cache_folder()
    >>> folder is None or folder.stat().st_mode & 0o077 == 0
    True

    References
    ----------
    XDG Base Directory Specification: XDG_CACHE_HOME, else ~/.cache.
    """
    try:
        folder = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        for name in ("jetwright", "kernels", kernel_hash()):
            folder /= name
            folder.mkdir(exist_ok=True, mode=0o700)
            seen = folder.lstat()
            if not stat.S_ISDIR(seen.st_mode):
                return None  # a link, or something else in the way
            if hasattr(os, "getuid") and (seen.st_uid != os.getuid() or seen.st_mode & 0o077):
                return None  # others could put their code here
        return folder if os.access(folder, os.W_OK | os.X_OK) else None
    except (OSError, RuntimeError):
        return None


_FOLDER = cache_folder()
if _FOLDER is not None and "numba" not in sys.modules:
    os.environ.setdefault("NUMBA_CACHE_DIR", str(_FOLDER))

import numba  # noqa: E402  the folder above must be known first
import numpy as np  # noqa: E402
from numba.extending import register_jitable  # noqa: E402

from jetwright.parts.bypass import Bypass  # noqa: E402
from jetwright.parts.hose import Piece  # noqa: E402
from jetwright.parts.nozzle import jet_flow  # noqa: E402
from jetwright.parts.pump import Pump  # noqa: E402
from jetwright.parts.relief import Relief  # noqa: E402
from jetwright.rig.check import CheckedRig  # noqa: E402
from jetwright.solve.balance import settle  # noqa: E402
from jetwright.solve.fill import EFFORT, Fillings, Ports, Sought, answered, lay_out, sought_of  # noqa: E402
from jetwright.solve.many import AT_TOOLS, Batch, Drawn, TipSpread, draw_all, explained  # noqa: E402
from jetwright.solve.multisets import Search, Table, fill_cells, multisets, search  # noqa: E402
from jetwright.solve.network import Line, Network  # noqa: E402
from jetwright.solve.push import push_of  # noqa: E402
from jetwright.solve.states import (  # noqa: E402
    EACH,
    HEAD,
    NOTHING_HOLDS,
    UNLOADED,
    MachineAt,
    line_start,
    settle_state,
    state_row,
    triggers_of,
)
from jetwright.solve.steady import Levers  # noqa: E402
from jetwright.water.state import Water, jet_speed_of  # noqa: E402

if _FOLDER is not None:
    setattr(numba.config, "CACHE_DIR", str(_FOLDER))  # noqa: B010  numba fills its config as it runs
for _kernel in KERNELS:
    register_jitable(error_model="numpy")(_kernel)


def record_type(part: type) -> np.dtype[Any]:
    """The structured type whose fields are a part's. [-]

    Parameters
    ----------
    part : type
        A dataclass of floats and ints. [-]

    Examples
    --------
    >>> record_type(Relief).names
    ('set', 'accumulation', 'full_flow')

    References
    ----------
    Our own convention.
    """
    return np.dtype([(f.name, np.int64 if f.type in (int, "int") else np.float64) for f in fields(part)], align=True)


MACHINE = np.dtype(
    [
        ("water", record_type(Water)),
        ("pump", record_type(Pump)),
        ("bypass", record_type(Bypass)),
        ("main", np.int64),
    ],
    align=True,
)
PIECE, LINE, RELIEF = record_type(Piece), record_type(Line), record_type(Relief)
_HEAD = 3  # numbers ahead of the parts: how many pieces, lines, reliefs
_MACHINE, _PIECE, _LINE, _RELIEF = (one.itemsize // 8 for one in (MACHINE, PIECE, LINE, RELIEF))


# One flat array holds the whole network: numba unpacks one argument in 0.2 µs, and each further array in as much again.
@numba.njit(cache=_FOLDER is not None, error_model="numpy")
def _settle_one(network, out, speed, area, held):  # type: ignore[no-untyped-def]
    here = _HEAD
    unit = network[here : here + _MACHINE].view(MACHINE)[0]
    here += _MACHINE
    end = here + int(network[0]) * _PIECE
    pieces = network[here:end].view(PIECE)
    here, end = end, end + int(network[1]) * _LINE
    lines = network[here:end].view(LINE)
    here, end = end, end + int(network[2]) * _RELIEF
    reliefs = network[here:end].view(RELIEF)
    out[:] = 0.0
    return settle(unit.water, unit.pump, unit.bypass, reliefs, pieces, unit.main, lines, speed, area, held, out)


@numba.njit(cache=_FOLDER is not None, error_model="numpy")
def _settle_many(network, out, speeds, areas):  # type: ignore[no-untyped-def]
    for row in range(speeds.size):
        _settle_one(network, out[row], speeds[row], areas[row], 0.0)


# Each state writes the lines it needs, held or let go, over those of the state before: one network serves them all.
@numba.njit(cache=_FOLDER is not None, error_model="numpy")
def _settle_states(fixed, machine, pieces, held, released, reliefs, pressed, work, table):  # type: ignore[no-untyped-def]
    unit = fixed[0]
    count = held.size
    lines, out, starts, tried = work[0], work[1], work[2], work[3]
    if count > 1:
        for index in range(count):
            tried[0, 2 * index], tried[0, 2 * index + 1] = line_start(unit.water, held[index], pieces)
            tried[1, 2 * index], tried[1, 2 * index + 1] = line_start(unit.water, released[index], pieces)
    for state in range(pressed.shape[0]):
        for index in range(count):
            gone = 0 if pressed[state, index] > 0.0 else 1
            lines[index] = released[index] if gone else held[index]
            starts[2 * index] = tried[gone, 2 * index]
            starts[2 * index + 1] = tried[gone, 2 * index + 1]
        out[:] = 0.0
        settle_state(
            unit.water,
            unit.pump,
            unit.bypass,
            reliefs,
            pieces,
            unit.main,
            lines,
            starts,
            pressed[state],
            machine[0],
            out,
            table[state],
        )


def _arrays(network: Network) -> list[np.ndarray[Any, Any]]:
    """Machine, pieces, lines and reliefs of a network as structured arrays."""
    unit = (astuple(network.water), astuple(network.pump), astuple(network.bypass), network.main)
    return [
        np.array([unit], MACHINE),
        np.array([astuple(one) for one in network.pieces], PIECE),
        np.array([astuple(one) for one in network.lines], LINE),
        np.array([astuple(one) for one in network.reliefs], RELIEF),
    ]


class CompiledRig:
    """A network as one flat array, ready for the compiled balance. [-]

    Parameters
    ----------
    network : Network
        From `solve.network.network_of`. [-]

    References
    ----------
    `solve.balance.settle`.
    """

    def __init__(self, network: Network) -> None:
        counts = np.array([len(network.pieces), len(network.lines), len(network.reliefs)], np.float64)
        parts = [counts, *_arrays(network)]
        self.network = np.concatenate([part.view(np.float64) for part in parts])
        self.out = np.zeros(3 + 2 * len(network.lines))

    def settle(self, speed: float, area: float, held: float = 0.0) -> float:
        """Steady gauge pressure at the pump; `out` then holds what `solve.balance.settle` says. [Pa]

        Parameters
        ----------
        speed : float
            Of the pump. [rev/s]
        area : float
            Of the bypass hole. [m²]
        held : float
            Pump pressure to find the flows for; 0: find the balance. [Pa]
        """
        pressure: float = _settle_one(self.network, self.out, speed, area, held)
        return pressure

    def settle_many(self, speeds: np.ndarray[Any, Any], areas: np.ndarray[Any, Any]) -> np.ndarray[Any, Any]:
        """Steady states for n settings, one row each, columns as `out` of `solve.balance.settle`. [Pa, kg/s, √Pa]

        Parameters
        ----------
        speeds : numpy.ndarray
            Of the pump, shape (n,). [rev/s]
        areas : numpy.ndarray
            Of the bypass hole, shape (n,). [m²]
        """
        out = np.empty((speeds.size, self.out.size))
        _settle_many(self.network, out, speeds, areas)
        return out


@dataclass(frozen=True, slots=True)
class StateArrays:
    """Every combination of triggers, one row each, in the order of `solve.states.trigger_states`.

    held: whether each branch is held; pump_pressure [Pa], not a number where nothing holds; flows over bypass and
    relief [kg/s]; whether the unloader has opened; of each tool the pressures [Pa], the mass flow of its jets [kg/s]
    and its recoil along and across its axis [N].
    """

    held: np.ndarray[Any, Any]
    pump_pressure: np.ndarray[Any, Any]
    bypass_flow: np.ndarray[Any, Any]
    relief_flow: np.ndarray[Any, Any]
    unloaded: np.ndarray[Any, Any]
    nozzle: np.ndarray[Any, Any]
    inlet: np.ndarray[Any, Any]
    jets: np.ndarray[Any, Any]
    along: np.ndarray[Any, Any]
    across: np.ndarray[Any, Any]


class CompiledStates:
    """The combinations of a rig's triggers, ready for the compiled balance. [-]

    Parameters
    ----------
    rig : CheckedRig
        Of up to eight tools. [-]
    levers : Levers
        Speed, hole and opening pressure. [-]

    References
    ----------
    `solve.states.trigger_states`.
    """

    def __init__(self, rig: CheckedRig, levers: Levers) -> None:
        self.triggers = triggers = triggers_of(rig, levers)
        self.held = np.array(list(triggers.combinations()))
        self.fixed, self.pieces, self.lines, self.reliefs = _arrays(triggers.network)
        self.released = np.array([astuple(one) for one in triggers.released], LINE)
        self.machine = np.array([astuple(triggers.machine)], record_type(MachineAt))
        at = triggers.machine.ceiling  # recoil is its jets' force times a share that the pressure does not change
        speed = jet_speed_of(rig.water, at + rig.water.ambient)
        forces = [jet_flow(rig.water, line.outlet, at)[0] * speed for line in triggers.network.lines]
        pushes = [push_of(rig, number, at) for number in range(1, len(forces) + 1)]
        self.shares = np.array([(a / f, b / f) for (a, b), f in zip(pushes, forces, strict=True)])

    def settle(self) -> StateArrays:
        """All of them. [-]"""
        count = self.lines.size
        table = np.empty((len(self.held), HEAD + EACH * count))
        shared = ~self.held[:, np.array(self.triggers.in_main)].all(axis=1)
        own = np.empty((len(self.held) - shared.sum(), table.shape[1]))
        pressed = self.held[~shared].astype(np.float64)
        work = (self.lines.copy(), np.zeros(3 + 2 * count), np.zeros(2 * count), np.zeros((2, 2 * count)))
        _settle_states(
            self.fixed, self.machine, self.pieces, self.lines, self.released, self.reliefs, pressed, work, own
        )
        table[~shared] = own
        if shared.any():  # one state for them all: the port in the main run stands open
            cold = [0.0] * 2 * count
            table[shared] = state_row(self.triggers, self.held[shared][0].tolist(), (cold, cold))
        each = table[:, HEAD:].reshape(-1, count, EACH)
        return StateArrays(
            held=self.held,
            pump_pressure=np.where(table[:, 3] == NOTHING_HOLDS, np.nan, table[:, 0]),
            bypass_flow=table[:, 1],
            relief_flow=table[:, 2],
            unloaded=table[:, 3] == UNLOADED,
            nozzle=each[..., 0],
            inlet=each[..., 1],
            jets=each[..., 2],
            along=each[..., 3] * self.shares[:, 0],
            across=each[..., 3] * self.shares[:, 1],
        )


@numba.njit(cache=_FOLDER is not None, error_model="numpy")
def _draw_all(batch, orders, work, table, scores, shares):  # type: ignore[no-untyped-def]
    draw_all(batch, orders, work, table, scores)
    for column in range(table.shape[1]):
        for place in range(scores.shape[1]):
            shares[column, place] = explained(table, column, scores, place)


_PARTS = {"waters": Water, "pumps": Pump, "bypass": Bypass, "reliefs": Relief, "pieces": Piece, "worn": Piece}
_PARTS |= {"lines": Line, "tips": TipSpread}
_COUNTS, _NUMBERS = ("shapes", "loose"), ("spreads", "normal", "warm", "areas")


def draw(batch: Batch) -> Drawn:
    """All draws, compiled. [-]

    Parameters
    ----------
    batch : Batch
        From `plan.draws.batch_of`. [-]

    Examples
    --------
    >>> from jetwright.plan.draws import batch_of
    >>> from jetwright.plan.proving import proving_point
    >>> from jetwright.plan.setting import machine_for, target_of
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> rig = check(JOB)
    >>> machine = machine_for(rig, *target_of(rig))
    >>> gauge = draw(batch_of(rig, machine, proving_point(rig, machine.state.pump_pressure), 200, 1)).ordered[0]
    >>> f"{gauge[0] / 1e5:.0f} to {gauge[-1] / 1e5:.0f} bar"
    '881 to 926 bar'

    References
    ----------
    `solve.many.draw_all`.
    """
    lines, inputs = len(batch.lines), len(batch.shapes)
    arrays: dict[str, Any] = {
        name: np.array([astuple(one) for one in getattr(batch, name)], record_type(part))
        for name, part in _PARTS.items()
    }
    arrays |= {name: np.array(getattr(batch, name), np.int64) for name in _COUNTS}
    arrays |= {name: np.array(getattr(batch, name), np.float64) for name in _NUMBERS}
    table, scores = np.empty((batch.draws, AT_TOOLS + 2 * lines)), np.empty((batch.draws, inputs))
    shares = np.empty((table.shape[1], inputs))
    work = (np.zeros(3 + 2 * lines), np.zeros(2 * lines))
    orders = np.tile(np.arange(batch.draws), (inputs, 1))
    _draw_all(batch._replace(**arrays), orders, work, table, scores, shares)
    return Drawn(table, scores, np.sort(table, axis=0).T, shares)


TABLE = record_type(Table)


@numba.njit(cache=_FOLDER is not None, error_model="numpy")
def _multisets(sizes, copies, lowest, places, width, work, keys):  # type: ignore[no-untyped-def]
    return multisets(sizes, copies, lowest, places, width, work, keys)


@numba.njit(cache=_FOLDER is not None, error_model="numpy")
def _fill_cells(tables, keys, cells):  # type: ignore[no-untyped-def]
    for number in range(tables.size):
        fill_cells(tables[number], keys, cells)


@numba.njit(cache=_FOLDER is not None, error_model="numpy")
def _search(on, step, base, slab, effort):  # type: ignore[no-untyped-def]
    return search(on, step, base, slab, effort)


class CompiledFill:
    """Ports with every class's multisets of tips listed and sorted, ready for the compiled search. [-]

    Parameters
    ----------
    ports : Ports
        What is to be filled, and with what. [-]

    References
    ----------
    `solve.multisets.search`.
    """

    def __init__(self, ports: Ports) -> None:
        self.ports = ports
        self._ready: dict[bool, tuple[list[Table], Any, Any, Any]] = {}

    def best(self, most: int = 10, largest: bool = True, effort: int = EFFORT, within: Ports | None = None) -> Fillings:
        """What `solve.fill.PlainFill.best` says once the multisets are listed. [-]

        Parameters
        ----------
        most : int
            How many fillings are asked for. [-]
        largest : bool
            Whether the largest are looked for, or the smallest. [-]
        effort : int
            Looks after which the search gives up and says so. [-]
        within : Ports | None
            The same ports within other bounds. [-]
        """
        sought = sought_of(within or self.ports, largest=largest)
        if largest not in self._ready:
            self._ready[largest] = self._listed(sought)
        tables, records, keys, cells = self._ready[largest]

        def run(on: Search, slab: int) -> tuple[Search, bool]:
            kinds = Search.__annotations__
            arrays: dict[str, Any] = {
                name: np.asarray(one, np.float64 if "float" in str(kinds[name]) else np.int64)
                for name, one in on._asdict().items()
                if name != "tables"
            }
            compiled = Search(tables=records, **arrays)
            return compiled, _search(compiled, sought.step, sought.base, slab, effort)

        return answered(sought, (tables, keys, cells), most, run)

    def _listed(self, sought: Sought) -> tuple[list[Table], Any, Any, Any]:
        """Tables, the tables as records, their keys and cells."""
        sizes = np.array(sought.sizes, np.int64)

        def list_keys(copies: list[int], lowest: int, places: int, room: int) -> Any:
            keys, work = np.empty(room, np.int64), np.empty(3 * places + 1, np.int64)
            most = np.array(copies, np.int64)
            return np.sort(keys[: _multisets(sizes, most, lowest, places, sought.width, work, keys)])

        tables, lists, room = lay_out(sought, list_keys)
        records, keys = np.array([astuple(one) for one in tables], TABLE), np.concatenate(lists)
        cells = np.empty(room, np.int64)
        _fill_cells(records, keys, cells)
        return tables, records, keys, cells
