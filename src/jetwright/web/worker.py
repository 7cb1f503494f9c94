"""Processes beside the server, for what would hold up its pages: plans, sheets, photos. They never import Django."""

import contextlib
import importlib
import multiprocessing
import multiprocessing.connection
import os
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from typing import Any, TypeVar

R = TypeVar("R")


class WorkerTimeoutError(Exception):
    """What was asked of the worker took too long; it says what, and whether it ran or waited."""


class WorkerLostError(Exception):
    """The worker died of what was asked of it, and so did the one after it."""


class WorkerBusyError(Exception):
    """The same person has something with the worker already."""


class _Worker:
    """The process, made when it is first needed and made anew when it is gone; one call at a time."""

    def __init__(self) -> None:
        self.turn = threading.Lock()
        self.pool: ProcessPoolExecutor | None = None
        self.pid = 0

    def ready(self) -> ProcessPoolExecutor:
        """The pool with its process up."""
        if self.pool is None:
            # never forked: typst hangs in a fork, and a fork would carry the server's connections
            spawn = multiprocessing.get_context("spawn")
            self.pool = ProcessPoolExecutor(max_workers=1, mp_context=spawn, initializer=_stay_with_the_server)
            self.pid = self.pool.submit(os.getpid).result(timeout=60.0)
        return self.pool

    def stop(self) -> None:
        """End the process, whatever it is at."""
        pool, self.pool = self.pool, None
        if pool is None:
            return
        for child in multiprocessing.active_children():
            if child.pid == self.pid:
                child.kill()
        pool.shutdown(wait=True, cancel_futures=True)

    @contextlib.contextmanager
    def held(self, what: str, timeout: float) -> Iterator[None]:
        """One's turn."""
        if not self.turn.acquire(timeout=timeout):
            raise WorkerTimeoutError(f"{what} waited {timeout:g} s for its turn")
        try:
            yield
        finally:
            self.turn.release()

    def ask(self, function: Callable[..., R], *args: object, timeout: float) -> R:
        """What a function answers, for whoever holds the turn."""
        what = getattr(function, "__name__", str(function))
        for last in (False, True):
            try:
                return self.ready().submit(function, *args).result(timeout=timeout)
            except BrokenProcessPool as gone:
                self.stop()
                if last:
                    raise WorkerLostError(f"the worker died of {what}") from gone
            except TimeoutError as late:
                self.stop()
                raise WorkerTimeoutError(f"{what} took longer than {timeout:g} s and was ended") from late
        raise AssertionError


class _Planners:
    """The processes for plans, which are short: one plan at a time each."""

    def __init__(self, count: int) -> None:
        self.each = tuple(_Worker() for _ in range(count))
        self.free = threading.Semaphore(count)

    @contextlib.contextmanager
    def held(self, question: tuple[object, ...], what: str, timeout: float) -> Iterator[_Worker]:
        """The next that is free; of two that are, the one that was asked the same before, for it remembers."""
        if not self.free.acquire(timeout=timeout):
            raise WorkerTimeoutError(f"{what} waited {timeout:g} s for its turn")
        try:
            first = hash(question) % len(self.each)
            order = self.each[first:] + self.each[:first]
            taken = next((one for one in order if one.turn.acquire(blocking=False)), None)
            if taken is None:  # all are being ended
                taken = order[0]
                taken.turn.acquire()
            try:
                yield taken
            finally:
                taken.turn.release()
        finally:
            self.free.release()


_WORKER, _PRESS = _Worker(), _Worker()
"""For whoever asks; for signing alone, which so waits for nobody who only asks."""
_PLANNERS = _Planners(min(2, os.cpu_count() or 1))
_AT_IT: set[str] = set()
_AT_IT_LOCK = threading.Lock()
_TURNS: dict[str, tuple[threading.Lock, int]] = {}
"""Whose turn it is → the lock, and how many hold it or wait for it."""
_TURNS_LOCK = threading.Lock()
MOST_IN_TURN = 8
"""How many questions of one person may wait at once, each with a thread and a connection of its own."""


def in_worker(function: Callable[..., R], *args: object, timeout: float = 30.0) -> R:
    """What a function answers, worked out in the worker; it and what it is given must pickle. [-]

    A function that takes longer is ended with its process, and WorkerTimeoutError says so. A process that is gone is
    made anew, and the function called once more; where that ends it too, WorkerLostError.

    timeout: for the wait of one's turn, and again for the function. [s]
    """
    with _WORKER.held(getattr(function, "__name__", str(function)), timeout):
        return _WORKER.ask(function, *args, timeout=timeout)


def in_planner(function: Callable[..., R], *args: object, timeout: float = 20.0) -> R:
    """What a function answers, worked out in a process that plans, as `in_worker` does. [-]

    Two plans at once, while the server goes on with its pages; the largest rig there may be takes some seconds.

    timeout: for the wait of one's turn, and again for the function. [s]
    """
    with _PLANNERS.held(args, getattr(function, "__name__", str(function)), timeout) as planner:
        return planner.ask(function, *args, timeout=timeout)


def warm() -> None:
    """Have the processes that plan up, with all they need loaded, before somebody asks. [-]"""
    for planner in _PLANNERS.each:
        with planner.held("to load", 60.0):
            planner.ask(_load, timeout=60.0)


def _load() -> None:
    importlib.import_module("jetwright.actions.shown")


@contextlib.contextmanager
def at_the_press(timeout: float) -> Iterator[Callable[..., Any]]:
    """One's turn at the worker that prints what is signed, its process up; what is given calls a function there. [-]

    Take it before a transaction begins, for the database waits for nobody at the press.

    timeout: for the wait of one's turn. [s]
    """
    with _PRESS.held("the press", timeout):
        _PRESS.ask(len, "ready", timeout=60.0)
        yield _PRESS.ask


@contextlib.contextmanager
def one_at_a_time(whose: str) -> Iterator[None]:
    """What somebody asks of the worker, one thing at a time; WorkerBusyError where there is another already. [-]"""
    with _AT_IT_LOCK:
        if whose in _AT_IT:
            raise WorkerBusyError
        _AT_IT.add(whose)
    try:
        yield
    finally:
        with _AT_IT_LOCK:
            _AT_IT.discard(whose)


@contextlib.contextmanager
def in_turn(whose: str, timeout: float = 20.0) -> Iterator[None]:
    """What somebody asks, one thing after the other, so that many questions of one keep nobody else waiting. [-]

    WorkerBusyError where the turn does not come, or too many wait for it. timeout: for the wait. [s]
    """
    with _TURNS_LOCK:
        turn, count = _TURNS.get(whose, (threading.Lock(), 0))
        if count >= MOST_IN_TURN:
            raise WorkerBusyError
        _TURNS[whose] = (turn, count + 1)
    try:
        if not turn.acquire(timeout=timeout):
            raise WorkerBusyError
        try:
            yield
        finally:
            turn.release()
    finally:
        with _TURNS_LOCK:
            turn, count = _TURNS.pop(whose)
            if count > 1:
                _TURNS[whose] = (turn, count - 1)


def stop() -> None:
    """End the workers; the next call makes them anew. [-]"""
    for worker in (_WORKER, _PRESS, *_PLANNERS.each):
        with worker.turn:
            worker.stop()


def stop_for_good() -> None:
    """End the workers, whatever they are at, for the server ends too. [-]"""
    for worker in (_WORKER, _PRESS, *_PLANNERS.each):
        worker.stop()


def _stay_with_the_server() -> None:
    """In the worker: leave Ctrl+C to the server, and end when the server is gone, however it went."""
    with contextlib.suppress(ValueError):
        signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_the_server, daemon=True).start()


def _end_with_the_server() -> None:
    server = multiprocessing.parent_process()
    if server is not None:
        multiprocessing.connection.wait([server.sentinel])
        os._exit(1)
