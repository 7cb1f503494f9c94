"""Checks of jetwright.rig.check: a pipe that takes in what is to work in it, a travel that can be."""

from dataclasses import replace

import pytest

from jetwright.rig.check import problems_of
from jetwright.rig.description import Branch, Pipe, Travel
from jetwright.rig.example import JOB

RUN = {"tool": None, "branches": (Branch("gun"), Branch("gun"))}


def found(pipe, **task):
    job = replace(JOB, task=(replace(JOB.task[0], pipe=pipe, **task),))
    return [(problem.key[2:], problem.code) for problem in problems_of(job)]


@pytest.mark.parametrize("task", [{}, RUN])
@pytest.mark.parametrize(
    ("pipe", "problems"),
    [
        (None, []),
        (Pipe(0.019), []),
        (Pipe(0.006), [(("pipe", "bore"), "pipe_too_narrow")]),  # the gun's own bore
        (Pipe(0.019, climb=-2.0), [(("pipe", "length"), "missing_key")]),
        (Pipe(0.019, 6.0, climb=-6.0), []),
        (Pipe(0.019, 6.0, climb=6.5), [(("pipe", "climb"), "climb_above_length")]),
        (Pipe(0.004, 6.0, climb=-6.5), [(("pipe", "bore"), "pipe_too_narrow"),
                                       (("pipe", "climb"), "climb_above_length")]),
    ],
)  # fmt: skip
def test_a_pipe_that_cannot_be(task, pipe, problems):
    assert found(pipe, **task) == problems


@pytest.mark.parametrize(
    ("travel", "problems"),
    [
        (Travel(5.0, 1.0), []),
        (Travel(5.1, 1.0), [(("travel", "length"), "travel_too_fast")]),
        (Travel(5000.0, 1.0), [(("travel", "length"), "travel_too_fast")]),
        (Travel(5000.0, 3600.0), []),
    ],
)
def test_nothing_is_moved_on_faster_than_anything_cleans(travel, problems):
    """Common practice: 5 m/s is far beyond any of it."""
    assert found(None, travel=travel) == problems


@pytest.mark.parametrize(
    ("main", "branches", "problems"),
    [
        (100, (0, 0), []),
        (60, (20, 20), []),
        (60, (20, 21), [(("branches",), "rig_too_long")]),
        (101, (0, 0), [(("hose_run",), "run_too_long")]),
        (0, (101, 0), [(("branches", 0, "hose_run"), "run_too_long")]),
    ],
)
def test_a_task_has_no_more_pieces_than_can_be_planned(main, branches, problems):
    """Our own bound, over all of its runs: every piece costs each solve."""
    hose = next(iter(JOB.hoses))
    lines = tuple(Branch("gun", (hose,) * count) for count in branches)
    told = found(None, tool=None, branches=lines, hose_run=(hose,) * main)
    assert [problem for problem in told if problem[1].endswith("_too_long")] == problems
