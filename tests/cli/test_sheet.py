"""`jetwright sheet` as a crew runs it: what it writes, what it will not touch, and what it says."""

import os
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest

ROOT = Path(__file__).parents[2]
SHIFT = ROOT / "examples" / "shift"
NAMES = ["01-morning-hall-floor", "02-noon-pump-footings-by-gun", "03-afternoon-heat-exchanger-shell"]
PLAIN = {"PATH": os.environ["PATH"], "PYTHONPATH": str(ROOT / "src"), "LC_ALL": "C.UTF-8"}


def sheet(*args, cwd, env=(), start=("-m", "jetwright")):
    return subprocess.run(
        [sys.executable, *start, "sheet", *map(str, args)],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
        cwd=cwd,
        env=PLAIN | dict(env),
    )


def in_folder(folder):
    return sorted(path.name for path in folder.iterdir())


@pytest.fixture
def job(tmp_path):
    """A copy of the demo shift that a test may spoil."""
    for name in ("job.toml", "yard.toml", "refused.toml"):
        (tmp_path / name).write_bytes((SHIFT / name).read_bytes())
    return tmp_path / "job.toml"


def test_each_task_becomes_a_page_in_the_folder_of_the_day(job):
    done = sheet(job, cwd=job.parent)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.split() == [str(Path("sheets") / f"{name}.pdf") for name in NAMES]
    assert in_folder(job.parent / "sheets") == [f"{name}.pdf" for name in NAMES]
    assert all(path.read_bytes().startswith(b"%PDF-") for path in (job.parent / "sheets").iterdir())


def test_a_second_time_changes_nothing(job):
    sheet(job, cwd=job.parent)
    before = {path: path.stat().st_mtime_ns for path in (job.parent / "sheets").iterdir()}
    again = sheet(job, cwd=job.parent)
    assert again.returncode == 0
    assert again.stdout.count("was there already") == 3
    assert {path: path.stat().st_mtime_ns for path in (job.parent / "sheets").iterdir()} == before


def test_a_sheet_that_says_something_else_is_kept_unless_asked(job):
    sheet(job, cwd=job.parent)
    first = (job.parent / "sheets" / f"{NAMES[0]}.pdf").read_bytes()
    refused = sheet(job, "--units", "us", cwd=job.parent)
    assert refused.returncode == 2
    assert refused.stdout == ""
    assert refused.stderr.count("--overwrite") == 3
    assert (job.parent / "sheets" / f"{NAMES[0]}.pdf").read_bytes() == first
    done = sheet(job, "--units", "us", "--overwrite", cwd=job.parent)
    assert done.returncode == 0
    assert done.stdout.count("replaced") == 3
    assert (job.parent / "sheets" / f"{NAMES[0]}.pdf").read_bytes() != first


def test_one_that_may_not_be_written_holds_all_back(job):
    (job.parent / "sheets").mkdir()
    (job.parent / "sheets" / f"{NAMES[2]}.pdf").write_text("notes", encoding="utf-8")
    done = sheet(job, cwd=job.parent)
    assert done.returncode == 2
    assert f"{NAMES[2]}.pdf" in done.stderr
    assert in_folder(job.parent / "sheets") == [f"{NAMES[2]}.pdf"]


def test_a_dry_run_writes_nothing(job):
    done = sheet(job, "--dry-run", cwd=job.parent)
    assert done.returncode == 0
    assert done.stdout.count("would be written") == 3
    assert not (job.parent / "sheets").exists()


def test_formats_folder_and_task_are_chosen(job):
    how = ("--task", "Noon: pump footings by gun", "--into", "print/noon", "--format", "png", "--format", "svg")
    done = sheet(job, *how, "--paper", "letter", cwd=job.parent)
    assert done.returncode == 0, done.stderr
    assert in_folder(job.parent / "print" / "noon") == [f"{NAMES[1]}.png", f"{NAMES[1]}.svg"]
    assert (job.parent / "print" / "noon" / f"{NAMES[1]}.png").read_bytes().startswith(b"\x89PNG")
    picture = ElementTree.parse(job.parent / "print" / "noon" / f"{NAMES[1]}.svg").getroot()
    assert picture.tag == "{http://www.w3.org/2000/svg}svg"


def test_a_back_is_a_second_page_and_a_second_picture(job):
    import pypdf

    kinds = ("--format", "pdf", "--format", "png")
    done = sheet(job, "--back", *kinds, "--into", "back", cwd=job.parent)
    assert (done.returncode, done.stderr) == (0, "")
    folder = job.parent / "back"
    assert in_folder(folder) == sorted(f"{name}{end}" for name in NAMES for end in (".pdf", ".png", "-back.png"))
    for name, title in zip(NAMES, ("Goal, and what", "What changes", "What changes"), strict=True):
        front, back = pypdf.PdfReader(folder / f"{name}.pdf").pages
        assert title in back.extract_text()
        assert title not in front.extract_text()
    assert sheet(job, *kinds, "--into", "front", cwd=job.parent).returncode == 0
    for name in NAMES:
        fronts = [(job.parent / where / f"{name}.png").read_bytes() for where in ("front", "back")]
        assert fronts[0] == fronts[1]
        assert len(pypdf.PdfReader(job.parent / "front" / f"{name}.pdf").pages) == 1


def test_a_back_is_the_same_where_its_task_alone_is_printed(job):
    noon = ("--task", "Noon: pump footings by gun")
    for how in (("--into", "all"), ("--into", "one", *noon)):
        assert sheet(job, "--back", *how, cwd=job.parent).returncode == 0
    alone, together = (job.parent / where / f"{NAMES[1]}.pdf" for where in ("one", "all"))
    assert alone.read_bytes() == together.read_bytes()


def test_the_back_of_a_refused_task_is_nothing_to_follow(job):
    import pypdf

    text = (job.parent / "refused.toml").read_text(encoding="utf-8")
    head, task = text.split("[[task]]")
    (job.parent / "refused.toml").write_text(head + "[[task]]" + task + "\n[[task]]" + task, encoding="utf-8")
    done = sheet(job.parent / "refused.toml", "--back", cwd=job.parent)
    assert done.returncode == 3
    for path in (job.parent / "sheets").iterdir():
        _front, back = pypdf.PdfReader(path).pages
        said = " ".join(back.extract_text().split())
        assert "nothing of this task is to be followed" in said
        assert not any(words in said for words in ("What changes", "Change over", "Run up", "For the whole task"))


def test_a_picture_of_a_back_that_is_made_no_more_is_told(job):
    how = ("--format", "png", "--task", "Morning: hall floor")
    assert sheet(job, "--back", *how, cwd=job.parent).returncode == 0
    done = sheet(job, *how, cwd=job.parent)
    assert done.stderr == f"sheets: older sheets lie here too: {NAMES[0]}-back.png\n"


def test_a_refused_task_has_a_sheet_that_says_so_and_the_exit_code(job):
    done = sheet(job.parent / "refused.toml", cwd=job.parent)
    assert done.returncode == 3
    assert in_folder(job.parent / "sheets") == ["01-morning-hall-floor.pdf"]


def test_nothing_is_written_through_a_link(job, tmp_path_factory):
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    (job.parent / "sheets").symlink_to(elsewhere)
    done = sheet(job, cwd=job.parent)
    assert done.returncode == 2
    assert "a link stands there" in done.stderr
    (job.parent / "sheets").unlink()
    (job.parent / "sheets").mkdir()
    (elsewhere / "kept.pdf").write_text("kept", encoding="utf-8")
    (job.parent / "sheets" / f"{NAMES[0]}.pdf").symlink_to(elsewhere / "kept.pdf")
    done = sheet(job, "--overwrite", cwd=job.parent)
    assert done.returncode == 2
    assert (elsewhere / "kept.pdf").read_text(encoding="utf-8") == "kept"


@pytest.mark.parametrize(
    "name", ["../../../etc/cron", "/etc/passwd", "..", "con", "a/b\\\\c", "***", "Zulauf Ö", "x" * 190]
)
def test_a_tasks_name_is_no_path(job, name):
    text = job.read_text(encoding="utf-8").replace("Morning: hall floor", name)
    job.write_text(text, encoding="utf-8")
    before = in_folder(job.parent)
    done = sheet(job, "--format", "svg", "--task", name.replace("\\\\", "\\"), cwd=job.parent)
    assert done.returncode == 0, done.stderr
    assert in_folder(job.parent) == sorted([*before, "sheets"])
    (written,) = in_folder(job.parent / "sheets")
    assert written.startswith("01")
    assert len(written.encode()) < 200


def test_tasks_of_one_name_have_a_file_each(job):
    text = job.read_text(encoding="utf-8").replace("Noon: pump footings by gun", "Afternoon: heat exchanger shell")
    job.write_text(text, encoding="utf-8")
    done = sheet(job, "--format", "svg", cwd=job.parent)
    assert done.returncode == 0, done.stderr
    assert in_folder(job.parent / "sheets") == [
        "01-morning-hall-floor.svg",
        "02-afternoon-heat-exchanger-shell.svg",
        "03-afternoon-heat-exchanger-shell.svg",
    ]


def test_a_folder_that_is_a_file_is_refused(job):
    (job.parent / "sheets").write_text("", encoding="utf-8")
    done = sheet(job, cwd=job.parent)
    assert done.returncode == 2
    assert "no folder" in done.stderr


def test_a_folder_that_cannot_be_made_is_refused(job):
    done = sheet(job, "--into", "yard.toml/sheets", cwd=job.parent)
    assert done.returncode == 2
    assert done.stderr == "yard.toml: a file stands there, and no folder\n"


@pytest.mark.parametrize("how", [(), ("--dry-run",)])
@pytest.mark.parametrize("into", ["x" * 300, "/proc/none/such", "x/" * 3000, "a\x1bb" * 90])
def test_a_folder_that_nobody_can_make_is_refused(job, into, how):
    before = in_folder(job.parent)
    done = sheet(job, "--format", "svg", "--into", into, *how, cwd=job.parent)
    if into.startswith("/proc") and how:  # the kernel alone knows that nothing can be made there
        return
    assert (done.returncode, done.stdout) == (2, "")
    assert "the file cannot be written; nothing was changed" in done.stderr
    assert "Traceback" not in done.stderr
    assert len(done.stderr) < 400
    assert in_folder(job.parent) == before


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is closed to root")
@pytest.mark.parametrize("how", [(), ("--dry-run",)])
def test_a_folder_that_is_closed_is_refused_dry_run_or_not(job, how):
    (job.parent / "shut").mkdir(mode=0o500)
    for into in ("shut", "shut/sheets"):
        done = sheet(job, "--format", "svg", "--into", into, *how, cwd=job.parent)
        assert (done.returncode, done.stdout) == (2, "")
        assert "cannot be written; nothing was changed" in done.stderr


def test_a_sheet_too_large_for_the_disk_leaves_nothing_behind(job):
    """The second file outgrows what one process may write: the first is not kept either, and no folder is made."""
    import resource

    limit = f"resource.setrlimit(resource.RLIMIT_FSIZE, (15000, {resource.RLIM_INFINITY}))"
    ignored = "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)"
    start = ("-c", f"import resource, signal; {limit}; {ignored}; from jetwright.cli import main; main()")
    before = in_folder(job.parent)
    done = sheet(
        job, "--format", "svg", "--format", "png", cwd=job.parent, start=start, env={"PYTHONDONTWRITEBYTECODE": "1"}
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert "01-morning-hall-floor.png: the file cannot be written; nothing was changed" in done.stderr
    assert in_folder(job.parent) == before


def test_a_file_takes_its_mode_from_the_umask_and_keeps_it(job):
    start = ("-c", "import os; os.umask(0o027); from jetwright.cli import main; main()")
    one = ("--format", "svg", "--task", "Morning: hall floor")
    assert sheet(job, *one, cwd=job.parent, start=start).returncode == 0
    path = job.parent / "sheets" / f"{NAMES[0]}.svg"
    assert path.stat().st_mode & 0o777 == 0o640
    path.chmod(0o664)
    assert sheet(job, *one, "--units", "us", "--overwrite", cwd=job.parent, start=start).returncode == 0
    assert path.stat().st_mode & 0o777 == 0o664


def test_no_link_on_the_way_is_followed(job, tmp_path_factory):
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    (job.parent / "link").symlink_to(elsewhere)
    (job.parent / "real").mkdir()
    (job.parent / "real" / "link").symlink_to(elsewhere)
    for into in ("link/sub", "real/link/sub", job.parent / "link" / "sub", "real/../link/sub"):
        for how in ((), ("--dry-run",)):
            done = sheet(job, "--format", "svg", "--into", into, *how, cwd=job.parent)
            assert done.returncode == 2
            assert "a link stands there" in done.stderr
    assert in_folder(elsewhere) == []


def test_a_renamed_task_says_that_its_old_sheet_lies_there_too(job):
    one = ("--format", "svg", "--overwrite")
    assert sheet(job, *one, cwd=job.parent).stderr == ""
    text = job.read_text(encoding="utf-8")
    job.write_text(text.replace("Morning: hall floor", "Early: hall floor"), encoding="utf-8")
    (job.parent / "sheets" / "011-notes.svg").write_text("", encoding="utf-8")
    done = sheet(job, *one, cwd=job.parent)
    assert done.returncode == 0
    assert done.stderr == "sheets: older sheets lie here too: 01-morning-hall-floor.svg\n"


def test_without_typst_it_says_what_to_type(job):
    start = ("-c", "import sys; sys.modules['typst'] = None; from jetwright.cli import main; main()")
    done = sheet(job, cwd=job.parent, start=start)
    assert done.returncode == 2
    assert 'pip install "jetwright[sheets]"' in done.stderr
    assert "Traceback" not in done.stderr
    assert not (job.parent / "sheets").exists()
    assert sheet(job, "--format", "svg", cwd=job.parent, start=start).returncode == 0


def test_a_rating_retyped_after_a_refusal_is_printed(job):
    import pypdf

    old = job.parent / "old.toml"
    text = job.read_text(encoding="utf-8")
    weak = '\n[hoses.S8-20]\nbore = "8 mm"\nlength = "20 m"\nrating = "{rating}"\ntested = 2026-02-24\ncount = 6\n'
    weak += 'tails = {{ bore = "6 mm", length = "75 mm" }}\n'
    old.write_text(text + weak.format(rating="820 bar"), encoding="utf-8")
    job.write_text(text + weak.format(rating="1400 bar"), encoding="utf-8")
    noon = ("--task", "Noon: pump footings by gun")
    assert sheet(old, *noon, "--into", "old", cwd=job.parent).returncode == 3
    done = sheet(job, *noon, "--earlier", old, "--who", "H. Moe", "--when", "2026-05-12", cwd=job.parent)
    assert done.returncode == 0, done.stderr
    page = pypdf.PdfReader(job.parent / "sheets" / f"{NAMES[1]}.pdf").pages[0]
    said = " ".join(page.extract_text().split())
    assert "Changed after a refusal" in said
    assert "S8-20: Highest pressure it may see: from 820 bar to 1400 bar, H. Moe, 2026-05-12" in said


OLD = """
[hoses.S8-20]
bore = "8 mm"
length = "20 m"
rating = "820 bar"
tested = 2026-02-24
count = 6
tails = { bore = "6 mm", length = "75 mm" }
"""
NOON = "Noon: pump footings by gun"
SINCE = ("--who", "H. Moe", "--when", "2026-05-12")


def changed(job, new, *how, task=NOON):
    """What stands on the sheets of a changed file whose earlier one had a weak hose at noon, and standard error."""
    import pypdf

    (job.parent / "old.toml").write_text(job.read_text(encoding="utf-8") + OLD, encoding="utf-8")
    job.write_text(new, encoding="utf-8")
    only = ("--task", task) if task else ()
    done = sheet(job, *only, "--earlier", "old.toml", *SINCE, *how, cwd=job.parent)
    assert "Traceback" not in done.stderr
    paths = sorted((job.parent / "sheets").glob("*.pdf"))
    return [" ".join(pypdf.PdfReader(path).pages[0].extract_text().split()) for path in paths], done.stderr


def test_a_refused_task_that_was_renamed_is_compared_by_its_place(job):
    text = job.read_text(encoding="utf-8").replace(NOON, "Midday by gun") + OLD.replace("820", "1400")
    (said,), error = changed(job, text, task="Midday by gun")
    assert "S8-20: Highest pressure it may see: from 820 bar to 1400 bar, H. Moe, 2026-05-12" in said
    assert error == ""


def test_a_refused_task_that_cannot_be_found_is_said_everywhere(job):
    head, morning, _noon, afternoon = job.read_text(encoding="utf-8").split("[[task]]")
    text = "[[task]]".join([head, afternoon, morning])
    sheets, error = changed(job, text, task=None)
    assert error == f"“{NOON}” was refused before, and no task here is that one: it was not compared\n"
    assert len(sheets) == 2
    assert all(f"{NOON}: refused before, not compared, H. Moe, 2026-05-12" in said for said in sheets)


def test_a_task_that_was_renamed_and_moved_is_not_taken_for_another(job):
    head, morning, noon, afternoon = job.read_text(encoding="utf-8").split("[[task]]")
    text = "[[task]]".join([head, noon.replace(NOON, "Midday by gun"), morning, afternoon])
    sheets, error = changed(job, text, task=None)
    assert "was not compared" in error
    assert all(f"{NOON}: refused before, not compared" in said for said in sheets)


def test_every_fact_that_was_typed_anew_is_printed_the_ratings_first(job):
    yard = (job.parent / "yard.toml").read_text(encoding="utf-8")
    for old, new in (("reseat = 0.90", "reseat = 0.95"), ("class = 1.6", "class = 1.0")):
        assert yard.count(old) == 1
        (job.parent / "yard2.toml").write_text(yard := yard.replace(old, new), encoding="utf-8")
    text = (
        job.read_text(encoding="utf-8")
        .replace("yard.toml", "yard2.toml")
        .replace("whip_checks = 12", "whip_checks = 14")
    )
    text += OLD.replace("820", "1400").replace("2026-02-24", "2026-03-24") + "traceable = true\n"
    (said,), _error = changed(job, text)
    lines = [
        "S8-20: Highest pressure it may see: from 820 bar to 1400 bar, H. Moe",
        "Against whipping hoses: Whip checks at hand: from 12 to 14, H. Moe",
        "Relief devices 1: Closes at this share of set: from 0.9 to 0.95, H. Moe",
        "Gauge: Accuracy class: from 1.6 to 1.0, H. Moe",
        "S8-20: Day of the last test: from 2026-02-24 to 2026-03-24, H. Moe",
        "S8-20: The tag can be read and traced: was not there, now yes, H. Moe",
    ]
    places = [said.find(line) for line in lines]
    assert -1 not in places
    assert places[0] == min(places)


def test_a_hose_that_was_not_there_is_said_to_be_new_and_a_cure_is_not(job):
    """A stronger hose of a new name, and a lower target: the hose is told, the target is an honest change."""
    text = job.read_text(encoding="utf-8") + OLD.replace("820", "1400").replace("S8-20", "N8-20")
    text = text.replace('"S8-20", "S8-20"', '"N8-20", "N8-20"').replace('"800 bar"', '"780 bar"')
    (said,), _error = changed(job, text)
    assert "N8-20: was not there, now Highest pressure it may see: 1400 bar, Day of the last test: 2026-02-24" in said
    assert "780" not in said[said.index("Changed after") : said.index("N8-20: was") + 200].replace("1400", "")


def test_a_task_that_was_not_refused_prints_no_changes(job):
    import pypdf

    done = sheet(job, "--earlier", job, "--who", "H. Moe", "--when", "2026-05-12", cwd=job.parent)
    assert done.returncode == 0, done.stderr
    for path in (job.parent / "sheets").iterdir():
        assert "Changed after" not in pypdf.PdfReader(path).pages[0].extract_text()


@pytest.mark.parametrize(
    "how",
    [("--earlier", "job.toml"), ("--who", "H. Moe"), ("--earlier", "job.toml", "--when", "2026-05-12")],
)
def test_earlier_who_and_when_belong_together(job, how):
    done = sheet(job, *how, cwd=job.parent)
    assert done.returncode == 2
    assert "belong together" in done.stderr


@pytest.mark.parametrize(
    ("who", "said"),
    [
        ("  ", "empty"),
        ("\u200b", "empty"),
        ("\u3164\ufeff", "empty"),
        ("H. \x1b[31mMoe", "control character"),
        ("H.\nMoe", "control character"),
        ("H. \u202eMoe", "control character"),
        ("H" * 201, "at most 200 signs"),
    ],
)
def test_a_name_that_no_file_may_hold_is_no_name(job, who, said):
    done = sheet(job, "--earlier", job, "--who", who, "--when", "2026-05-12", cwd=job.parent)
    assert done.returncode == 2
    assert said in done.stderr
    assert "\x1b" not in done.stderr
    assert not (job.parent / "sheets").exists()


@pytest.mark.parametrize("option", ["--when", "--date"])
@pytest.mark.parametrize("text", ["12.5.2026", "2026-02-30", "20260512", "2026-W20-2", "", "\x1b[31m", "9" * 5000])
def test_a_day_is_typed_year_first(job, option, text):
    done = sheet(job, option, text, cwd=job.parent)
    assert done.returncode == 2
    assert "is no day; type year, month and day, as in 2026-05-12" in " ".join(done.stderr.split())
    assert "%" not in done.stderr
    assert "\x1b" not in done.stderr
    assert len(done.stderr) < 400


def test_the_day_is_the_one_given(job):
    import pypdf

    sheet(job, "--date", "2026-06-30", cwd=job.parent)
    page = pypdf.PdfReader(job.parent / "sheets" / f"{NAMES[0]}.pdf")
    assert page.metadata.creation_date.date().isoformat() == "2026-06-30"
    assert "2026-06-30" in page.pages[0].extract_text()


def test_every_problem_of_a_job_file_is_named(job):
    job.write_text("title = 3\n", encoding="utf-8")
    done = sheet(job, cwd=job.parent)
    assert done.returncode == 2
    assert "job.toml:1: title" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("kind", ["pdf", "png"])
def test_signs_that_the_font_lacks_are_told(job, kind):
    text = job.read_text(encoding="utf-8").replace("Morning: hall floor", "作業一 مهمة")
    job.write_text(text, encoding="utf-8")
    done = sheet(job, "--format", kind, "--dry-run", cwd=job.parent)
    assert done.returncode == 0
    lines = [line for line in done.stderr.splitlines() if "font has no" in line]
    assert len(lines) == 2  # its own sheet, and the next task's, which is told what is left on from it
    assert all("作 業 一 م ه ة" in line for line in lines)


def test_nothing_is_told_of_latin_letters(job):
    assert "font" not in sheet(job, "--dry-run", cwd=job.parent).stderr
