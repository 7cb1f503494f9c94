"""The commands as a crew runs them: in a process of their own, on the examples, in any locale, through any pipe."""

import json
import os
import pty
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "examples"
JOBS = ("shift/job.toml", "shift/refused.toml", "two-guns.toml", "hose-fed.toml")
CODES = {"shift/refused.toml": 3}
PLAIN = {"PATH": os.environ["PATH"], "PYTHONPATH": str(ROOT / "src"), "PYTHONDONTWRITEBYTECODE": "1"}


def jetwright(*args, env=(), **options):
    """Run the command in a process and give what came back."""
    return subprocess.run(
        [sys.executable, "-m", "jetwright", *map(str, args)],
        capture_output=True,
        timeout=60,
        check=False,
        env=PLAIN | {"LC_ALL": "C.UTF-8"} | dict(env),
        **options,
    )


@pytest.fixture
def job(tmp_path):
    """A copy of the demo shift that a test may spoil."""
    for name in ("job.toml", "yard.toml"):
        (tmp_path / name).write_bytes((EXAMPLES / "shift" / name).read_bytes())
    return tmp_path / "job.toml"


@pytest.mark.parametrize("units", ["si", "us"])
@pytest.mark.parametrize("name", JOBS)
def test_every_example_prints_a_table_that_fits(name, units):
    done = jetwright("plan", EXAMPLES / name, "--units", units)
    text = done.stdout.decode()
    assert done.returncode == CODES.get(name, 0), done.stderr.decode()
    assert done.stderr == b""
    assert max(map(len, text.splitlines())) <= 100
    assert "\x1b" not in text
    assert "supports and never replaces" in text
    foreign = r"\d (bar|L/min|kW|mm)\b" if units == "us" else r"\d (psi|gpm|hp|lbf)\b"
    assert re.search(foreign, text) is None


@pytest.mark.parametrize("name", JOBS)
def test_every_example_prints_json(name):
    from tests.report.test_plan_json import KEYS, held_to_the_contract

    done = jetwright("plan", EXAMPLES / name, "--json")
    assert done.returncode == CODES.get(name, 0)
    facts = json.loads(done.stdout)
    nothing_to_run_up_to = {"run_up"} if all(not task["run_up"] for task in facts["tasks"]) else set()
    assert held_to_the_contract(facts) == set(KEYS) - nothing_to_run_up_to
    for task in facts["tasks"]:
        setting, tools = task["setting"], task["tools"]
        leaving = sum(tool["flow_l_min"] + tool["leak_l_min"] for tool in tools)
        assert setting["pump_flow_l_min"] == pytest.approx(leaving + setting["bypass_flow_l_min"], rel=1e-5)
        for tool in tools:
            assert tool["flow_l_min"] == pytest.approx(
                sum(jet["count"] * jet["flow_l_min"] for jet in tool["jets"]), rel=1e-5
            )
        for item in task["hose_run"]:
            assert item["loss_bar"] == pytest.approx(item["in_bar"] - item["out_bar"], abs=1e-4)
        assert task["verdict"] in {"within", "look", "not_allowed", "not_judged"}


def test_a_refused_task_says_what_would_cure_it():
    done = jetwright("plan", EXAMPLES / "shift" / "refused.toml", "--json")
    task = json.loads(done.stdout)["tasks"][0]
    assert task["verdict"] == "not_allowed"
    assert task["reaches"]["nozzle_bar"] < 600.0
    refused = [limit for limit in task["limits"] if limit["verdict"] == "not_allowed"]
    assert all(limit["remedy"] for limit in refused)
    assert {"tip", "target"} <= {cure["kind"] for limit in refused for cure in limit["cures"]}


def test_a_cure_cures(job, tmp_path):
    """The tip that the refusal names, put into the file, is allowed and shows the pressure that was promised."""
    text = (EXAMPLES / "shift" / "refused.toml").read_text(encoding="utf-8")
    path = tmp_path / "refused.toml"
    path.write_text(text, encoding="utf-8")
    refused = json.loads(jetwright("plan", path, "--json").stdout)["tasks"][0]
    (cure,) = [c for limit in refused["limits"][:2] for c in limit.get("cures", []) if c["kind"] == "tip"]
    row = f'\n[tips.F20]\nbore = "{cure["to"]:.6g} mm"\ninlet = "cone"\ncount = 4\n'
    path.write_text(text + row, encoding="utf-8")
    done = jetwright("plan", path, "--json")
    assert done.returncode == 0, done.stderr.decode()
    cured = json.loads(done.stdout)["tasks"][0]
    assert cured["tools"][0]["nozzle_bar"] == pytest.approx(600.0, rel=1e-6)
    assert cured["setting"]["pump_speed_rpm"] == pytest.approx(cure["pump_speed_rpm"], rel=1e-6)


def test_one_task_only():
    done = jetwright("plan", EXAMPLES / "shift" / "job.toml", "--json", "--task", "Noon: pump footings by gun")
    assert [task["name"] for task in json.loads(done.stdout)["tasks"]] == ["Noon: pump footings by gun"]


@pytest.mark.parametrize("name", JOBS)
def test_check_prints_the_limits_of_the_plan_and_nothing_else(name):
    plan, check = (jetwright(verb, EXAMPLES / name, "--json") for verb in ("plan", "check"))
    assert check.returncode == plan.returncode
    assert check.stderr == b""
    planned, checked = json.loads(plan.stdout), json.loads(check.stdout)
    assert list(checked) == ["title", "rule_set", "day", "tasks"]
    for task, whole in zip(checked["tasks"], planned["tasks"], strict=True):
        assert task == {key: whole[key] for key in ("name", "verdict", "limits", "cures_cut")}


@pytest.mark.parametrize("name", JOBS)
def test_check_shows_the_worst_first_with_what_to_do(name):
    done = jetwright("check", EXAMPLES / name)
    assert done.returncode == CODES.get(name, 0)
    text = done.stdout.decode()
    assert max(map(len, text.splitlines())) <= 100
    assert "supports and never replaces" in text
    assert "Proving point" not in text
    for task in text.split("────\n")[1:-1]:
        rank = {"●": 0, "▲": 1, "□": 2, "■": 3}
        marks = [rank[line.strip()[0]] for line in task.splitlines()[2:] if line.strip()[:1] in rank]
        assert marks == sorted(marks)


def test_every_limit_that_is_not_within_says_what_to_do():
    for name in JOBS:
        for task in json.loads(jetwright("check", EXAMPLES / name, "--json").stdout)["tasks"]:
            for limit in task["limits"]:
                if limit["verdict"] != "not_judged":  # a missing fact may say what to do: name the gauge
                    assert bool(limit["remedy"]) == (limit["verdict"] in {"look", "not_allowed"}), limit["id"]
                assert "–" not in limit["remedy"], limit["remedy"]


@pytest.mark.parametrize("verb", ["plan", "check"])
def test_the_day_decides_what_is_in_test(verb, job):
    """The hoses were tested in the spring of 2026; two years later none is in test."""
    now = json.loads(jetwright(verb, job, "--json").stdout)
    later = json.loads(jetwright(verb, job, "--json", "--date", "2028-05-12").stdout)
    assert now["day"] == "2026-05-12"
    assert later["day"] == "2028-05-12"

    def tests(answer):
        return {
            limit["verdict"] for task in answer["tasks"] for limit in task["limits"] if limit["id"] == "hose.test_age"
        }

    assert tests(now) == {"within"}
    assert tests(later) == {"not_allowed"}


@pytest.mark.parametrize("day", ["12.05.2026", "2026-02-30", "tomorrow"])
def test_a_day_that_is_none_is_exit_2(day, job):
    done = jetwright("plan", job, "--date", day)
    assert done.returncode == 2
    assert done.stdout == b""
    assert b"Traceback" not in done.stderr


def test_an_unknown_task_is_refused_with_the_nearest(job):
    done = jetwright("plan", job, "--task", "Noon: pump footing by gun")
    assert done.returncode == 2
    assert done.stdout == b""
    assert "did you mean “Noon: pump footings by gun”?" in done.stderr.decode()


@pytest.mark.published("NIST SP 811 (2008), appendix B.8: 1 psi = 6.894757 kPa")
def test_us_figures_are_the_si_figures():
    def outward(units, unit):
        """Pressures into and out of each piece; the gauge itself is printed no finer than its scale shows."""
        text = jetwright("plan", EXAMPLES / "shift" / "job.toml", "--units", units).stdout.decode()
        pieces = re.findall(rf"^  [SWr]\S+ +([\d.]+) {unit} +([\d.]+) {unit} ", text, re.MULTILINE)
        return [float(n) for pair in pieces for n in pair]

    shown, metric = outward("us", "psi"), outward("si", "bar")
    assert len(shown) == len(metric) == 22
    for psi, bar in zip(shown, metric, strict=True):
        assert psi == pytest.approx(bar * 14.50377, abs=5.0 + (0.5 if bar >= 100 else 0.05) * 14.5)


def test_problems_go_to_standard_error_one_a_line_in_order(job):
    text = job.read_text(encoding="utf-8")
    text = text.replace('pressure = "3 bar"', 'pressure = "3"').replace('"1.5 h"', '"1,5 h"').replace('"gun"', '"gnu"')
    job.write_text(text, encoding="utf-8")
    for options in ((), ("--json",)):
        done = jetwright("plan", job, *options)
        assert done.returncode == 2
        assert done.stdout == b""
        lines = done.stderr.decode().splitlines()
        assert len(lines) == 3
        places = [re.match(rf"{re.escape(str(job))}:(\d+): ", line) for line in lines]
        numbers = [int(place[1]) for place in places]
        assert numbers == sorted(numbers)
        assert "supply.pressure: “3”: a unit is missing" in lines[0]
        assert "did you mean “gun”?" in lines[1]
        assert "“1.5 h” or “15 h”" in lines[2]


def test_a_problem_in_the_yard_names_the_yard(job):
    yard = job.parent / "yard.toml"
    text = yard.read_text(encoding="utf-8").replace('stroke = "95 mm"', 'stroke = "-95 mm"')
    yard.write_text(text, encoding="utf-8")
    number = text.splitlines().index('stroke = "-95 mm"') + 1
    done = jetwright("plan", job)
    assert done.returncode == 2
    assert done.stderr.decode().startswith(f"{yard}:{number}: unit.pump.stroke: ")


@pytest.mark.parametrize(
    "args",
    [
        ("plan", "nowhere.toml"),
        ("plan", "/"),
        ("fmt", "nowhere.toml"),
        ("plan",),
        ("paln",),
        ("plan", "job.toml", "--nuits"),
        ("plan", "job.toml", "--units", "cgs"),
        ("schema", "x"),
    ],
)
def test_what_cannot_be_read_or_understood_is_exit_2(args):
    done = jetwright(*args)
    assert done.returncode == 2
    assert done.stdout == b""
    assert done.stderr
    assert b"Traceback" not in done.stderr


def test_a_mistyped_command_is_guessed():
    assert "Did you mean “plan”?" in jetwright("paln").stderr.decode()


@pytest.mark.parametrize(
    "env",
    [
        {"LC_ALL": "C"},
        {"LC_ALL": "POSIX", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
        {"LC_ALL": "C", "PYTHONIOENCODING": "ascii"},
        {"LC_ALL": "C", "PYTHONIOENCODING": "latin-1"},
        {"LC_ALL": "C", "PYTHONIOENCODING": "cp437"},
        {"LC_ALL": "xx_YY.nonsense"},
        {"LANGUAGE": "xx:yy"},
    ],
    ids=lambda env: "-".join(env.values()),
)
def test_no_locale_ends_a_command(env, tmp_path, job):
    job.write_text(job.read_text(encoding="utf-8").replace("Sundby works", "Øst ☃ 鋼"), encoding="utf-8")
    done = jetwright("plan", job, env=env)
    assert done.returncode == 0, done.stderr
    assert b"Traceback" not in done.stderr
    assert b"within limits" in done.stdout
    refused = jetwright("plan", tmp_path / "nöwhere.toml", env=env)
    assert refused.returncode == 2
    assert b"Traceback" not in refused.stderr
    assert json.loads(jetwright("plan", job, "--json", env=env).stdout)["title"].endswith("Øst ☃ 鋼")


def test_spanish_is_spoken_when_asked_for():
    done = jetwright("plan", EXAMPLES / "two-guns.toml", env={"LANGUAGE": "es"})
    assert done.returncode == 0
    text = done.stdout.decode()
    assert "within limits" not in text
    assert max(map(len, text.splitlines())) <= 100


def on_a_terminal(args, columns="100", env=()):
    """What a person sees: both streams on a pseudo-terminal."""
    leader, follower = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "jetwright", *map(str, args)],
        stdout=follower,
        stderr=follower,
        stdin=follower,
        env=PLAIN | {"LC_ALL": "C.UTF-8", "TERM": "xterm-256color", "COLUMNS": columns} | dict(env),
    )
    os.close(follower)
    seen = b""
    while True:
        try:
            piece = os.read(leader, 65536)
        except OSError:
            break
        if not piece:
            break
        seen += piece
    os.close(leader)
    return process.wait(), seen.decode()


def test_colours_on_a_terminal_only_and_the_same_text():
    path = EXAMPLES / "shift" / "job.toml"
    _code, seen = on_a_terminal(["plan", path])
    piped = jetwright("plan", path).stdout.decode()
    assert "\x1b[" in seen
    stripped = re.sub(r"\x1b\[[\d;]*m", "", seen).replace("\r\n", "\n")
    assert [line.rstrip() for line in stripped.splitlines()] == piped.splitlines()


def test_no_color_is_honoured_and_a_narrow_terminal_is_kept():
    _code, seen = on_a_terminal(["plan", EXAMPLES / "two-guns.toml"], columns="80", env={"NO_COLOR": "1"})
    assert "\x1b" not in seen
    assert max(map(len, seen.replace("\r\n", "\n").splitlines())) <= 80


@pytest.mark.parametrize("args", [("plan", EXAMPLES / "shift" / "refused.toml"), ("schema",), ("--help",)])
def test_a_broken_pipe_is_quiet(args):
    process = subprocess.Popen(
        [sys.executable, "-m", "jetwright", *map(str, args)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=PLAIN | {"LC_ALL": "C.UTF-8"},
    )
    process.stdout.close()
    error = process.stderr.read()
    process.stderr.close()
    code = process.wait(timeout=60)
    assert error == b""
    assert code == (3 if args[0] == "plan" else 0)


def test_a_break_at_the_keyboard_is_130():
    """SIGINT while a job is read from a pipe that never ends."""
    text = (
        "import os, signal, sys\n"
        "import jetwright.actions.plan as action\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)  # a parent in the background has it ignored\n"
        "def interrupted(*args, **kwargs):\n"
        "    os.kill(os.getpid(), signal.SIGINT)\n"
        "    import time; time.sleep(5)\n"
        "action.plan_job = interrupted\n"
        "from jetwright.cli import main\n"
        f"main(['plan', {str(EXAMPLES / 'two-guns.toml')!r}])\n"
    )
    done = subprocess.run([sys.executable, "-c", text], capture_output=True, timeout=30, check=False, env=PLAIN)
    assert done.returncode == 128 + signal.SIGINT
    assert b"Traceback" not in done.stderr


def test_every_commands_help_shows_an_example():
    for name in ("plan", "check", "fmt", "schema"):
        done = jetwright(name, "--help")
        assert done.returncode == 0
        assert f"Example: jetwright {name}" in done.stdout.decode()


def test_version():
    import jetwright as package

    assert jetwright("--version").stdout.decode() == f"jetwright {package.__version__}\n"


def test_schema_is_json_and_knows_the_examples_keys():
    schema = json.loads(jetwright("schema").stdout)
    assert {"supply", "unit", "task"} <= set(schema["properties"])


def test_fmt_writes_once_and_says_so(job):
    text = job.read_text(encoding="utf-8")
    altitude = 'altitude = "60 m"\n'
    job.write_text(text.replace(altitude, "").replace("[supply]", "[supply]").replace(
        'yard = "yard.toml"\n', 'yard = "yard.toml"\n' + altitude), encoding="utf-8")  # fmt: skip
    spoilt = job.read_bytes()
    checked = jetwright("fmt", "--check", job)
    assert checked.returncode == 1
    assert b"would be rewritten" in checked.stderr
    shown = jetwright("fmt", "--diff", job)
    assert shown.returncode == 0
    assert '+altitude = "60 m"' in shown.stdout.decode()
    assert '-altitude = "60 m"' in shown.stdout.decode()
    assert job.read_bytes() == spoilt
    before = jetwright("plan", job, "--json").stdout
    assert jetwright("fmt", job).returncode == 0
    assert job.read_text(encoding="utf-8") == text
    assert jetwright("plan", job, "--json").stdout == before
    again = jetwright("fmt", "--check", job)
    assert again.returncode == 0
    assert b"in order" in again.stderr


def test_fmt_goes_on_after_a_file_it_cannot_read(job):
    done = jetwright("fmt", "nowhere.toml", job)
    assert done.returncode == 2
    assert b"nowhere.toml: there is no such file" in done.stderr
    assert b"in order" in done.stderr


def test_examples_are_in_order():
    done = jetwright("fmt", "--check", *EXAMPLES.rglob("*.toml"))
    assert done.returncode == 0, done.stderr.decode()


def test_only_what_a_command_needs_is_imported():
    def loaded(*args):
        text = (
            "import sys\nfrom jetwright.cli import main\n"
            f"try:\n    main({[str(a) for a in args]!r})\nexcept SystemExit:\n    pass\n"
            "print('\\n' + ' '.join(sorted({name.split('.')[0] for name in sys.modules})), file=sys.stderr)\n"
        )
        done = subprocess.run([sys.executable, "-c", text], capture_output=True, timeout=30, check=True, env=PLAIN)
        return set(done.stderr.decode().splitlines()[-1].split())

    heavy = {"numba", "numpy", "rich", "tomlkit", "pydantic", "scipy", "CoolProp", "llvmlite"}
    assert loaded("--help") & heavy == set()
    assert loaded("plan", "--help") & heavy == set()
    assert loaded("plan", EXAMPLES / "shift" / "job.toml", "--json") & (heavy - {"pydantic"}) == set()
    assert loaded("plan", EXAMPLES / "shift" / "job.toml") & {"numba", "numpy", "scipy"} == set()


def resources(*args):
    """Wall time and peak memory of one run. [s, MB]"""
    text = (
        "import resource, subprocess, sys, time\n"
        "start = time.perf_counter()\n"
        "subprocess.run([sys.executable, '-m', 'jetwright', *sys.argv[1:]], stdout=subprocess.DEVNULL, check=True)\n"
        "print(time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)\n"
    )
    env = {key: value for key, value in PLAIN.items() if key != "PYTHONDONTWRITEBYTECODE"}
    done = subprocess.run(
        [sys.executable, "-c", text, *map(str, args)], capture_output=True, timeout=60, check=True, env=env
    )
    seconds, peak = done.stdout.split()
    return float(seconds), float(peak) / (1e6 if sys.platform == "darwin" else 1e3)


@pytest.mark.parametrize(
    ("args", "seconds"),
    [
        (("--help",), 1.0),
        (("plan", EXAMPLES / "shift" / "job.toml", "--json"), 3.0),
        (("plan", EXAMPLES / "shift" / "job.toml"), 3.0),
    ],
    ids=["help", "json", "table"],
)
def test_time_and_memory_of_a_process(args, seconds):
    """Memory is a promise, 80 MB; the time bound only catches a wrong import (measured times are in the bench)."""
    runs = [resources(*args) for _ in range(3)]
    fastest, peak = min(run[0] for run in runs), max(run[1] for run in runs)
    print(f"jetwright {args[0]}: {fastest:.3f} s, {peak:.0f} MB")
    assert peak <= 80.0
    assert fastest <= seconds


def test_progress_only_after_a_second_and_only_on_a_terminal(capsys, monkeypatch):
    from jetwright.cli.output import Progress

    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    with Progress(after=0.05) as progress:
        progress("Morning")
    assert capsys.readouterr().err == ""
    with Progress(after=0.05) as progress:
        progress("Noon")
        time.sleep(0.3)
        progress("Evening")
    seen = capsys.readouterr().err
    assert "Noon" in seen
    assert "Evening" in seen
    assert seen.endswith("\r\x1b[K")
    monkeypatch.setattr(sys.stderr, "isatty", lambda: False)
    with Progress(after=0.0) as progress:
        progress("Morning")
        time.sleep(0.05)
    assert capsys.readouterr().err == ""


def test_a_file_cannot_drive_the_terminal_through_a_refusal(tmp_path):
    """Escape sequences and marks that turn text round, from keys, broken lines and names, reach no terminal."""
    import subprocess
    import sys

    job = tmp_path / "a\x1b[2Jb.toml"
    job.write_text('"rat\\u001b[2J\\u202e\\u009b" = "x"\n', encoding="utf-8")
    broken = tmp_path / "broken.toml"
    broken.write_bytes('title = "a" \x1b[31m\x9b2J\n'.encode())
    for path in (job, broken):
        run = subprocess.run([sys.executable, "-m", "jetwright", "plan", str(path)], capture_output=True, check=False)
        assert run.returncode == 2
        said = run.stderr.decode()
        assert said.strip()
        assert not {"\x1b", "\x9b", "\u202e"} & set(said)


@pytest.mark.parametrize(
    "command", [("plan",), ("check",), ("sheet", "--into", "sheets"), ("compare", "1", "2")], ids=lambda one: one[0]
)
@pytest.mark.parametrize("returns_to", ["tank", "suction"])
def test_a_target_that_is_hardly_one_is_answered_or_refused_in_words(job, command, returns_to):
    text = job.read_text(encoding="utf-8")
    yard = job.with_name("yard.toml")
    yard.write_text(
        re.sub('returns_to = "[a-z]*"', f'returns_to = "{returns_to}"', yard.read_text(encoding="utf-8")),
        encoding="utf-8",
    )
    for asked, codes in (("1e-9 bar", {2}), ("0.01 bar", {0, 3})):
        job.write_text(re.sub('_pressure = "[0-9.]* bar"', f'_pressure = "{asked}"', text), encoding="utf-8")
        done = jetwright(command[0], job, *command[1:], cwd=job.parent)
        assert done.returncode in codes, done.stderr.decode()
        assert b"Traceback" not in done.stderr
        assert b"nan" not in done.stdout.lower().split()
        assert (b"must be at least 0.01 bar" in done.stderr) == (codes == {2})
