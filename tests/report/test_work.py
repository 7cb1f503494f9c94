"""What the jets do, on a page: labelled an estimate, with its spread, and never as a distance to a person."""

import json
import math
import re
from dataclasses import replace

import pytest
from rich.cells import cell_len

from jetwright.files.goals import goals
from jetwright.plan.answer import Coverage, JetAtTarget, Pull
from jetwright.plan.goal import goal_of
from jetwright.report.goal import goal_lines, goal_notes, goal_section
from jetwright.report.pipe import pull_rows, pull_section
from jetwright.report.strike import jet_notes, jet_rows, jet_section, jet_title
from jetwright.report.surface import coverage_rows, coverage_section
from jetwright.report.terminal import GLUE, page
from jetwright.report.work_json import work_facts
from jetwright.rig.check import check
from jetwright.rig.description import Free, Goal, Port, Travel
from jetwright.rig.example import JOB
from jetwright.solve.steady import reach
from tests.report.made import job, part_open, refused

SECTIONS = (jet_section, coverage_section, pull_section, goal_section)
JET = JetAtTarget(1, "R10", 1, 0.04, 26.2e3, 124.8, (184e5, 450e5, 600e5), (0.00101, 0.00169, 0.00239))
COVER = Coverage(
    1, 2, width=0.3617, travel=0.0833, turns=33.3, advance=0.0025, least_turns=30.85, fastest=0.09,
    surface_speed=37.7, torque=21.7, free_turns=72.1, energy=4.97e6, rate=0.0188,
)  # fmt: skip
PULL = Pull(1, 211.0, 205.0, (0.3, 0.45, 0.6), (42.4, 56.3, 84.7), 60.0, False, 284.0, 10e5)


def goal(name="WJ-3", edition=None, bar=850.0):
    rig = check(replace(JOB, task=(replace(JOB.task[0], goal=Goal(name, edition)),)))
    return goal_of(rig, reach(rig, "nozzle_pressure", bar * 1e5), goals())


def task():
    return replace(part_open(), jets=(JET,), coverage=(COVER,), pulls=(PULL,), goal=goal())


def job_with(**told):
    made = job()
    return replace(made, task=tuple(replace(one, **told) for one in made.task))


def shown(section, planned=None, asked=None, **options):
    made = section(planned or task(), asked or job_with(travel=Travel(10.0, 120.0)), options.pop("system", "si"))
    return "" if made is None else " ".join(page([made], options.pop("width", 100), False).split())


@pytest.mark.parametrize("system", ["si", "us"])
@pytest.mark.parametrize("width", [60, 80, 100])
@pytest.mark.parametrize("section", SECTIONS)
def test_it_fits_in_one_system(section, width, system):
    text = page([section(task(), job_with(travel=Travel(10.0, 120.0)), system)], width, False)
    assert max(cell_len(line) for line in text.splitlines()) <= width
    foreign = r"\d (bar|kW|N|kg|mm|m|m/s|m²|MJ/m²|N m)(?![\w²/])" if system == "us" else r"\d (psi|hp|lbf|in|ft)\b"
    assert re.search(foreign, text) is None


def test_an_estimate_is_labelled_and_shows_its_spread():
    text = shown(jet_section)
    assert "estimate" in text
    assert "450 bar (180 to 600)" in text
    assert "1.7 mm (1 to 2.4)" in text
    assert "tip to surface" in text
    assert "estimated 1900 rpm (1300 to 3100)" in shown(coverage_section)
    assert "estimated 56 m (42 to 85)" in shown(pull_section)


@pytest.mark.parametrize("section", SECTIONS)
def test_nothing_reads_as_a_distance_at_which_people_may_stand(section):
    text = shown(section).lower()
    assert not re.search(r"\b(safe|clear of|keep|stand off|zone|barricade)\b", text)


def test_the_page_of_a_jet_says_what_it_is_not():
    assert "Nothing here is a distance to a person" in shown(jet_section)
    assert jet_notes([]) == []


def test_a_measured_track_is_called_measured():
    measured = replace(JET, width=(0.006,) * 3, estimated=False)
    text = shown(jet_section, replace(task(), jets=(measured,)))
    assert "Track, measured" in text
    assert "6.00 mm" in text
    assert "footprint" not in text
    said = shown(coverage_section, replace(task(), jets=(measured,)))
    assert "Stripes turn it at 1851 rpm or more; move on 5.40 m in a minute or less: else it leaves stripes" in said


@pytest.mark.parametrize("system", ["si", "us"])
def test_no_sentence_about_stripes_reads_as_what_to_do(system):
    """Whatever stands before “stripes” is what avoids them."""
    for jets in ((), (JET,), (replace(JET, width=(0.006,) * 3, estimated=False),)):
        said = shown(coverage_section, replace(task(), jets=jets), system=system)
        assert "stripes stay below" not in said
        assert "stripes stay above" not in said
        assert ": else it leaves stripes" in said


def test_a_rate_by_an_estimated_track_is_marked():
    assert "Cleans an estimated 67.7 m² in an hour" in shown(coverage_section)
    slow = replace(COVER, turns=20.0)
    assert "; by the estimated track stripes stay" in shown(coverage_section, replace(task(), coverage=(slow,)))
    assert "stripes stay" not in shown(coverage_section)
    measured = replace(JET, width=(0.006,) * 3, estimated=False)
    assert "Cleans 67.7 m² in an hour" in shown(coverage_section, replace(task(), jets=(measured,)))


def test_no_rate_is_told_where_stripes_are_certain():
    striped = replace(COVER, turns=5.0, rate=None, striped=True)
    measured = replace(JET, width=(0.006,) * 3, estimated=False)
    said = shown(coverage_section, replace(task(), coverage=(striped,), jets=(measured,)))
    assert "Cleans not told: by the measured track stripes stay at these turns and this travel" in said
    assert "in an hour" not in said


def test_a_jet_that_no_longer_cleans_has_no_figure_and_still_wounds():
    spent = replace(JET, pressure=None, width=None)
    told = replace(task(), jets=(spent,), coverage=(replace(COVER, width=None, rate=None),))
    said = shown(jet_section, told)
    assert "no longer cleans; still wounds" in said
    assert "1 × R10: by this estimate it no longer cleans; it still wounds." in said
    assert not re.search(r"\d bar", said)
    assert "not told: by the estimate no jet cleans at this stand-off" in shown(coverage_section, told)
    facts = work_facts(told)["jets_at_target"][0]
    assert (facts["pressure_bar"], facts["width_mm"]) == (None, None)


def test_a_tip_that_is_no_good_nozzle_is_named():
    said = shown(jet_section, replace(task(), jets=(replace(JET, ordinary=True),)))
    assert "1 × R10: taken as ordinary. “straight” counts for rounded and cone inlets" in said
    assert "taken as ordinary" not in shown(jet_section)


def test_turns_that_the_jets_cannot_give_are_named():
    """72.1 turns a second are 4326 rpm."""
    said = shown(coverage_section, replace(task(), coverage=(replace(COVER, turns=333.0),)))
    assert "faster than its jets can turn it: 4326 rpm at most" in said
    assert "faster than" not in shown(coverage_section)


def angled(degrees, jet):
    port = Port("R10", angle=math.radians(degrees))
    tools = {name: replace(tool, ports=(port,)) for name, tool in job().tools.items()}
    return replace(job_with(travel=Travel(10.0, 120.0), jet=jet), tools=tools)


def test_it_is_said_where_angles_are_left_out():
    words = "the jets' angle left out: no stand-off is given"
    assert words in shown(coverage_section, asked=angled(30.0, None))
    assert words not in shown(coverage_section, asked=angled(0.0, None))
    assert words not in shown(coverage_section, asked=angled(30.0, Free(0.04)))


def test_jets_that_strike_nothing_are_said_to_be_left_out():
    none = replace(task(), jets=())
    assert "jets that point aside or back" in shown(jet_section, none, angled(120.0, Free(0.04)))
    assert "jets that point aside or back" not in shown(jet_section, asked=angled(0.0, Free(0.04)))


def test_a_refused_task_has_no_goal():
    told = replace(refused(), goal=goal())
    assert goal_section(told, job_with(goal=Goal("WJ-3"))) is None
    assert goal_lines(told, job()) == []


@pytest.mark.parametrize("section", [jet_section, coverage_section, pull_section])
def test_nothing_is_set_in_a_refused_task(section):
    told = replace(refused(), jets=(JET,), coverage=(COVER,), pulls=(PULL,))
    assert section(told, job(), "si") is None


@pytest.mark.parametrize("section", SECTIONS)
def test_a_task_without_such_facts_has_no_such_section(section):
    assert section(part_open(), job(), "si") is None


def test_a_share_of_the_time_that_nobody_gave_shows_its_ends():
    """Common practice: 40 to 70 % by hand; a rate of 67.7 m² in an hour at 55 % is 49.2 and 86.1 at the ends."""
    assert "67.7 m² in an hour (49.2 m² to 86.1 m²), moving 55 % of the time (40 % to 70 %" in shown(coverage_section)
    told = shown(coverage_section, asked=job_with(travel=Travel(10.0, 120.0, at_work=0.6)))
    assert "67.7 m² in an hour, moving 60 % of the time" in told


def test_a_length_is_told_along():
    along = replace(COVER, rate=0.05, along=True)
    assert "180 m in an hour" in shown(coverage_section, replace(task(), coverage=(along,)))
    assert work_facts(replace(task(), coverage=(along,)))["coverage"][0]["rate_m_h"] == 180.0


@pytest.mark.parametrize(
    ("pull", "told"),
    [
        (PULL, "the pipe's 60.0 m lie between the least and the most: it may stop short"),
        (replace(PULL, enough=True, reach=(70.0, 80.0, 90.0)), "even the least covers the pipe's 60.0 m"),
        (replace(PULL, reach=(20.0, 30.0, 59.9)), "60.0 m are more than the most: it will not get there by its own"),
        (replace(PULL, reach=(70.0,) * 3), "estimated 70 m by its own pull, friction 0.45"),
        (replace(PULL, reach=(70.0,) * 3), "that covers the pipe's 60.0 m"),
        (replace(PULL, reach=(50.0,) * 3), "the pipe's 60.0 m are more: it will not get there by its own pull"),
        (replace(PULL, reach=(40.0,) * 3, hose=40.0), "all the 40.0 m of its hose by its own pull"),
        (replace(PULL, hose=40.0), "60.0 m are more than the 40.0 m of hose behind the tool: the hose is too short"),
        (replace(PULL, reach=(42.0, 56.0, 80.0), hose=80.0), "its hose ends at 80.0 m; the pipe's 60.0 m lie between"),
        (replace(PULL, pull=-62.0, reach=(0.0,) * 3), "Reach none: it does not pull itself in Plugged"),
        (replace(PULL, ends=(150.0, 230.0)), "211 N (21.5 kg), 150 N to 230 N, as nobody knows its inlets"),
        (replace(PULL, ends=(-24.0, 230.0)), "from 24 N back out to 230 N in, as nobody knows its inlets"),
        (replace(PULL, pull=-62.0, ends=(-90.0, -24.0)), "62 N (6.3 kg), 24 N to 90 N back out, as nobody knows"),
        (replace(PULL, pull=-62.0), "back out with 62 N"),
        (replace(PULL, friction=(0.4,) * 3), "friction 0.40;"),
        (replace(PULL, blocked=1e5, most=19.85e3), "for each bar behind it, up to 19.9 kN if the whole tip pressure"),
        (replace(PULL, piston=28.4, blocked=1e5), "28 N (2.9 kg) for each bar behind it"),
        (PULL, "284 N (29.0 kg) at 10.0 bar behind it"),
    ],
)
def test_what_a_pipe_does(pull, told):
    assert told in shown(pull_section, replace(task(), pulls=(pull,)))


def test_a_hose_that_is_too_short_is_told_whatever_it_weighs():
    asked = job()
    nozzle = replace(asked.tools[task().tools[0].tool], kind="pipe nozzle", held_by="hose")
    asked = replace(asked, tools={task().tools[0].tool: nozzle})
    text = shown(pull_section, replace(task(), pulls=(replace(PULL, reach=None, hose=40.0),)), asked)
    assert "the mass of the hose that goes in is not given; the pipe's 60.0 m are more than the 40.0 m" in text


def test_a_plug_in_us_units_is_told_for_a_hundred_psi():
    """6.89 bar are 100 psi: 28.4 N a bar are 44 lbf."""
    per_bar = replace(PULL, piston=28.4, blocked=1e5)
    assert "44.0 lbf for each 100 psi" in shown(pull_section, replace(task(), pulls=(per_bar,)), system="us")


def test_a_goal_without_an_edition_says_which_was_taken():
    text = shown(goal_section, asked=job_with(goal=Goal("WJ-3")))
    assert "by SSPC-SP WJ (2012)" in text
    assert "no edition was named" in text
    assert "closest in the other system: Wa 2" in text
    assert "no edition was named" not in shown(goal_section, asked=job_with(goal=Goal("WJ-3", "SSPC-SP WJ (2012)")))


def test_what_was_not_read_of_a_goal_says_so():
    text = shown(goal_section, asked=job_with(goal=Goal("WJ-3")))
    assert "from memory" in text
    assert "SSPC-SP 12/NACE No. 5 (2002) (not read)" in text
    assert "borders not read: ISO 8504-5:2024" in text


def test_a_goal_of_common_practice_names_no_edition():
    text = shown(goal_section, replace(task(), goal=goal("clear pipe")), job_with(goal=Goal("clear pipe")))
    assert "by common practice: clear from end to end" in text
    assert "no edition was named" not in text
    assert "profile" not in text


def test_two_tools_are_told_apart():
    two = replace(
        task(),
        tools=(part_open().tools[0], replace(part_open().tools[0], branch=2, tool="other")),
        jets=(JET, replace(JET, branch=2)),
        coverage=(COVER, replace(COVER, branch=2)),
        pulls=(PULL, replace(PULL, branch=2)),
    )
    assert "2 1 × R10" in shown(jet_section, two)
    for section in (coverage_section, pull_section):
        assert "other" in shown(section, two)


def test_json_says_the_same_in_its_own_units():
    facts = json.loads(json.dumps(work_facts(task()), allow_nan=False))
    assert facts["jets_at_target"][0]["pressure_bar"] == [184.0, 450.0, 600.0]
    assert facts["jets_at_target"][0]["width_estimated"] is True
    assert facts["coverage"][0]["least_turns_rpm"] == pytest.approx(1851.0)
    assert facts["coverage"][0]["rate_m2_h"] == pytest.approx(67.68)
    assert facts["pulls"][0]["reach_m"] == [42.4, 56.3, 84.7]
    assert facts["goal"]["grade"] == "WJ-3"
    assert work_facts(part_open()) == {}


def test_a_sheets_rows_say_the_same():
    asked = job_with(travel=Travel(10.0, 120.0))
    heads, row = jet_rows(task())
    assert " ".join(heads) in shown(jet_section)
    assert " ".join(row).replace(GLUE, " ") in shown(jet_section)
    assert jet_title(task()).replace(GLUE, " ") in shown(jet_section)
    for rows, section in ((coverage_rows, coverage_section), (pull_rows, pull_section)):
        for label, words in rows(task(), asked):
            assert f"{label} {words.replace(GLUE, ' ')}" in shown(section)
    for note in goal_notes(task()):
        assert note in shown(goal_section)


def test_nothing_of_the_work_is_told_of_a_refused_task():
    told = replace(refused(), jets=(JET,), coverage=(COVER,), pulls=(PULL,))
    assert len(jet_rows(told)) == 1  # the heads
    assert coverage_rows(told, job()) == pull_rows(told, job()) == []
    assert pull_rows(part_open(), job()) == goal_notes(part_open()) == []
