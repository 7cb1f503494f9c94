"""The processes beside the server."""

import os
import signal
import subprocess
import sys
import threading
import time

import pytest

from jetwright.actions.tips import tips_tables
from jetwright.errors import FileError
from jetwright.web import worker
from jetwright.web.worker import WorkerLostError, WorkerTimeoutError, in_planner, in_worker

pytestmark = pytest.mark.any_database


@pytest.fixture(autouse=True)
def _no_worker_left_behind():
    yield
    worker.stop()


def alive(pid):
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


def gone_within(pid, seconds):
    end = time.monotonic() + seconds
    while alive(pid) and time.monotonic() < end:
        time.sleep(0.02)
    return not alive(pid)


def test_it_is_another_process_and_the_same_one_each_time():
    first, second = in_worker(os.getpid), in_worker(os.getpid)
    assert first == second != os.getpid()


def test_two_at_once_both_get_their_own_answer():
    found = {}

    def ask(number):
        found[number] = in_worker(pow, number, 2)

    threads = [threading.Thread(target=ask, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found == {number: number * number for number in range(8)}


def test_a_killed_worker_comes_back():
    first = in_worker(os.getpid)
    os.kill(first, signal.SIGKILL)
    assert gone_within(first, 5.0)
    assert in_worker(os.getpid) not in (first, os.getpid())


def test_one_killed_at_its_work_is_asked_again():
    first = in_worker(os.getpid)
    threading.Timer(0.3, os.kill, (first, signal.SIGKILL)).start()
    assert in_worker(time.sleep, 0.6) is None
    assert in_worker(os.getpid) != first


def test_what_ends_every_worker_is_told():
    with pytest.raises(WorkerLostError, match="died of _exit"):
        in_worker(os._exit, 3)
    assert in_worker(pow, 3, 2) == 9


def test_what_hangs_is_ended_says_so_and_the_worker_is_replaced():
    first = in_worker(os.getpid)
    began = time.monotonic()
    with pytest.raises(WorkerTimeoutError, match=r"sleep took longer than 0\.5 s"):
        in_worker(time.sleep, 60.0, timeout=0.5)
    assert time.monotonic() - began < 10.0
    assert gone_within(first, 5.0)
    assert in_worker(os.getpid) != first


def test_one_that_waits_too_long_for_its_turn_ends_nobody_elses_work():
    in_worker(os.getpid)
    slow = threading.Thread(target=in_worker, args=(time.sleep, 1.0))
    slow.start()
    time.sleep(0.2)
    with pytest.raises(WorkerTimeoutError, match=r"pow waited 0\.1 s"):
        in_worker(pow, 2, 2, timeout=0.1)
    slow.join()


def test_a_plan_waits_for_nothing_that_takes_long():
    worker.warm()
    slow = threading.Thread(target=in_worker, args=(time.sleep, 1.5))
    slow.start()
    time.sleep(0.2)
    began = time.monotonic()
    assert in_planner(os.getpid) not in (os.getpid(), 0)
    assert time.monotonic() - began < 1.0
    assert slow.is_alive()
    slow.join()


def test_as_many_plans_at_once_as_there_are_processes_for_them_and_the_next_waits():
    worker.warm()
    planners = worker._Planners(2)
    with planners.held(("a",), "a plan", 5.0) as one, planners.held(("a",), "a plan", 5.0) as other:
        assert one is not other
        with (
            pytest.raises(WorkerTimeoutError, match=r"a plan waited 0\.1 s"),
            planners.held(("b",), "a plan", 0.1),
        ):
            pass
    with planners.held(("a",), "a plan", 0.1) as again:
        assert again is one
    assert [one.turn.locked() for one in planners.each] == [False, False]


@pytest.mark.skipif((os.cpu_count() or 1) < 2, reason="one core: one process plans")
def test_each_question_goes_to_the_process_that_remembers_it_and_questions_to_either():
    asked = ["__import__('os').getpid()" + " " * n for n in range(24)]
    first, again = ([in_planner(eval, one) for one in asked] for _ in range(2))
    assert first == again
    assert len(set(first)) == 2


def test_more_than_eight_of_one_person_do_not_wait():
    waiting = [threading.Thread(target=lambda: _in_turn(0.3)) for _ in range(worker.MOST_IN_TURN)]
    for one in waiting:
        one.start()
    time.sleep(0.1)
    with pytest.raises(worker.WorkerBusyError), worker.in_turn("ada"):
        pass
    with worker.in_turn("bo"):
        pass
    for one in waiting:
        one.join()


def _in_turn(seconds):
    with worker.in_turn("ada"):
        time.sleep(seconds)


def test_what_the_function_raises_is_raised_here():
    with pytest.raises(ZeroDivisionError):
        in_worker(divmod, 1, 0)


SCRIPT = """
import os, sys, time
from jetwright.web.worker import in_worker
from jetwright.report.press import unprinted
in_worker(unprinted, {{}})
print(in_worker(eval, "sorted(name for name in __import__('sys').modules if name.split('.')[0] == 'django')"))
print(in_worker(os.getpid), flush=True)
time.sleep({rest})
"""


def server(rest):
    command = [sys.executable, "-c", SCRIPT.format(rest=rest)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True)


def test_it_never_imports_django():
    with server(0) as process:
        assert process.stdout.readline() == "[]\n"


def test_it_stops_with_the_server():
    with server(0) as process:
        process.stdout.readline()
        pid = int(process.stdout.readline())
    assert process.returncode == 0
    assert gone_within(pid, 5.0)


def test_it_stops_with_a_server_that_was_killed():
    with server(600) as process:
        process.stdout.readline()
        pid = int(process.stdout.readline())
        process.kill()
    assert gone_within(pid, 5.0)


def test_what_one_person_asks_comes_one_after_the_other_and_keeps_nobody_else_waiting():
    order = []

    def ask(whose, name, seconds):
        with worker.in_turn(whose):
            order.append(name)
            time.sleep(seconds)

    first = threading.Thread(target=ask, args=("ada", "ada's first", 0.6))
    first.start()
    time.sleep(0.1)
    second = threading.Thread(target=ask, args=("ada", "ada's second", 0.0))
    second.start()
    time.sleep(0.1)
    ask("bo", "bo's", 0.0)
    with pytest.raises(worker.WorkerBusyError), worker.in_turn("ada", timeout=0.05):
        pass
    first.join()
    second.join()
    assert order == ["ada's first", "bo's", "ada's second"]
    assert worker._TURNS == {}


def test_an_error_of_the_model_comes_back_as_it_is():
    pid = in_worker(os.getpid)
    with pytest.raises(FileError, match="missing_key"):
        in_worker(tips_tables, '{"title": "Rack"}', "Wall")
    assert in_worker(os.getpid) == pid
