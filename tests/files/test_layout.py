"""Job files put in order."""

import random
import re
import stat
import subprocess
import sys
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jetwright.actions.format import format_job_file
from jetwright.errors import FileError
from jetwright.files.layout import ORDER, difference, format_job, replace_whole
from jetwright.files.shapes import tables


def test_every_key_has_its_place():
    assert {name: sorted(keys) for name, keys in ORDER.items()} == {
        name: sorted(keys) for name, keys in tables().items()
    }


def test_a_file_in_order_stays_as_it_is(reference):
    assert format_job(reference) == reference


def comments(text):
    """Every comment, with the statement it stands beside where it stands beside one."""
    return sorted(line.strip() for line in text.split("\n") if "#" in line)


def shuffled(text, rng):
    """The same file with its tables, and the keys in each, in another order."""
    sections = re.split(r"^(?=\[)", text, flags=re.MULTILINE)
    top, rest = sections[0], sections[1:]
    many = [s for s in rest if s.startswith("[[")]
    single = [s for s in rest if not s.startswith("[[")]
    rng.shuffle(single)
    made = []
    for section in single:
        header, *lines = section.strip().split("\n")
        if all(re.match(r"[a-z_]+ = ", line) and not line.rstrip().endswith("[") for line in lines):
            rng.shuffle(lines)
        made.append("\n".join([header, *lines]) + "\n")
    return top + "\n".join(made) + "\n" + "".join(many)


@pytest.mark.parametrize("seed", range(20))
def test_another_order_comes_back_in_this_one(seed, reference):
    mixed = shuffled(reference, random.Random(seed))
    assert mixed != reference
    made = format_job(mixed)
    assert tomllib.loads(made) == tomllib.loads(reference)
    assert comments(made) == comments(reference)
    assert format_job(made) == made
    rows = re.compile(r"^\[(?:hoses|tips|fittings|tools|unit\.kits)\.", re.MULTILINE)  # rows keep the order they are in
    ours, theirs = ([line for line in text.split("\n") if not rows.match(line)] for text in (made, reference))
    first = theirs.index("[unit.bypass]")
    assert ours[: ours.index("[unit.engine]")] == theirs[: theirs.index("[unit.engine]")]
    assert "[unit.bypass]" in ours[: first + 10]


def test_comments_move_with_what_they_belong_to():
    text = (
        "# about this file\n\n"
        "[tips.B]\n"
        "# how many are left\n"
        "count = 3 # in the box\n"
        'bore   =  "1 mm"\n'
        "# or by chart\n"
        "\n"
        "# free\n\n"
        'inlet = "cone"\n\n\n'
        "# the water\n"
        "[supply] # a hydrant\n"
        'flow = "9 L/min"\n'
        'pressure="1 bar"\n'
        "# the end\n"
    )
    assert format_job(text) == (
        "# about this file\n\n"
        "# the water\n"
        "[supply] # a hydrant\n"
        'pressure = "1 bar"\n'
        "# the end\n"
        "\n"
        'flow = "9 L/min"\n'
        "\n"
        "[tips.B]\n"
        'bore = "1 mm"\n'
        "# or by chart\n"
        "\n"
        "# free\n\n"
        'inlet = "cone"\n'
        "# how many are left\n"
        "count = 3 # in the box\n"
    )


STATEMENTS = [
    'title = "x"',
    "altitude = '1 m' # c",
    "zzz = [\n 1, # c\n 2 ]",
    'rule_set = """\n a  \n\n # no comment\n"""',
]
HEADERS = ["[supply]", "[tips.A]", "[unit.pump]", "[unit]", "[[task]]", "[yyy.x]", "[supply.hose] # c"]
GAPS = ["", "\n", "\n\n", "# c\n", "# c\n\n", "\n# c\n\n# d\n", "  # c\n# d\n"]
KEYS = [
    "bore = '1 mm'",
    "flow='2 L/min'  # c",
    "count = 3",
    "name = 'n'",
    "stroke = '1 m'",
    "length = ['x',\n # [\n'y']",
]


@given(st.data())
def test_in_order_once_is_in_order(data):
    text = ""
    for statement in data.draw(st.lists(st.sampled_from(STATEMENTS), unique=True)):
        text += data.draw(st.sampled_from(GAPS)) + statement + "\n"
    for header in data.draw(st.lists(st.sampled_from(HEADERS), unique=True)):
        text += data.draw(st.sampled_from(GAPS)) + header + "\n"
        for key in data.draw(st.lists(st.sampled_from(KEYS), unique=True)):
            text += data.draw(st.sampled_from(GAPS)) + key + "\n"
    text += data.draw(st.sampled_from(GAPS))
    made = format_job(text)
    assert tomllib.loads(made) == tomllib.loads(text)
    assert format_job(made) == made
    assert made.count("#") == text.count("#")


def test_what_is_not_toml_is_refused():
    with pytest.raises(FileError) as caught:
        format_job("a = ", "job.toml")
    assert [(p.code, p.file, p.line) for p in caught.value.problems] == [("bad_toml", "job.toml", 1)]


def test_a_file_is_replaced_whole_and_keeps_its_mode(tmp_path, reference):
    path = tmp_path / "job.toml"
    path.write_text(reference.replace('title = "', 'title="'))
    path.chmod(0o640)
    assert format_job_file(path).changed
    assert path.read_text() == reference
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert [each.name for each in tmp_path.iterdir()] == ["job.toml"]
    before = path.stat().st_mtime_ns
    assert not format_job_file(path).changed
    assert path.stat().st_mtime_ns == before


def test_a_file_that_is_not_to_be_written_stays(tmp_path):
    """Its folder alone would let it be replaced."""
    path = tmp_path / "job.toml"
    path.write_text('title="Rack"')
    path.chmod(0o444)
    with pytest.raises(FileError) as told:
        format_job_file(path)
    assert [problem.code for problem in told.value.problems] == ["not_writable"]
    assert path.read_text() == 'title="Rack"'
    assert list(tmp_path.iterdir()) == [path]


def test_a_link_is_not_written_through(tmp_path, reference):
    (tmp_path / "job.toml").write_text('b=1\ntitle="x"\n')
    (tmp_path / "link.toml").symlink_to(tmp_path / "job.toml")
    with pytest.raises(FileError) as caught:
        format_job_file(tmp_path / "link.toml")
    assert [p.code for p in caught.value.problems] == ["yard_link"]
    assert (tmp_path / "job.toml").read_text() == 'b=1\ntitle="x"\n'


def codes(act, *args):
    with pytest.raises(FileError) as caught:
        act(*args)
    return [problem.code for problem in caught.value.problems]


def test_what_could_not_be_read_again_is_not_written(tmp_path):
    """256 kB are read at most; blank lines between its tables make this file larger."""
    path = tmp_path / "job.toml"
    text = "".join(f"[a{number}]\nb = 1\n" for number in range(1000))
    text += "#" * (256 * 1024 - len(text) - 1) + "\n"
    path.write_text(text)
    for write in (True, False):
        assert codes(format_job_file, path, write) == ["would_be_too_large"]
    assert path.read_text() == text


def test_what_was_not_judged_is_not_written_over(tmp_path):
    path = tmp_path / "job.toml"
    path.write_bytes(b"saved meanwhile")
    for write in (True, False):
        assert codes(replace_whole, path, b"judged", b"made", write) == ["changed_meanwhile"]
    assert path.read_bytes() == b"saved meanwhile"
    assert list(tmp_path.iterdir()) == [path]


def test_who_writes_while_another_does_is_refused(tmp_path):
    fcntl = pytest.importorskip("fcntl")
    path = tmp_path / "job.toml"
    path.write_bytes(b"judged")
    with path.open("rb") as other:
        fcntl.flock(other, fcntl.LOCK_EX)
        assert codes(replace_whole, path, b"judged", b"made") == ["changed_meanwhile"]
    assert path.read_bytes() == b"judged"
    replace_whole(path, b"judged", b"made")
    assert path.read_bytes() == b"made"
    assert list(tmp_path.iterdir()) == [path]


def test_of_many_at_once_each_that_was_told_so_is_in_the_file(tmp_path):
    """Each adds its own line to what it read, as often as it is refused."""
    pytest.importorskip("fcntl")
    path = tmp_path / "job.toml"
    path.write_bytes(b"")
    text = (
        "import sys\nfrom pathlib import Path\n"
        "from jetwright.errors import FileError\nfrom jetwright.files.layout import replace_whole\n"
        "path, told = Path(sys.argv[1]), 0\n"
        "for _ in range(60):\n"
        "    before = path.read_bytes()\n"
        "    try:\n        replace_whole(path, before, before + b'x')\n        told += 1\n"
        "    except FileError:\n        pass\n"
        "print(told)\n"
    )
    many = [subprocess.Popen([sys.executable, "-c", text, path], stdout=subprocess.PIPE, text=True) for _ in range(4)]
    told = [int(one.communicate(timeout=60)[0]) for one in many]
    assert sum(told) == len(path.read_bytes()) > 0
    assert list(tmp_path.iterdir()) == [path]


def test_a_byte_order_mark_stays(tmp_path):
    path = tmp_path / "job.toml"
    path.write_bytes(b'\xef\xbb\xbftitle="Rack"\n')
    assert format_job_file(path).changed
    assert path.read_bytes() == b'\xef\xbb\xbftitle = "Rack"\n'
    assert not format_job_file(path).changed


def test_what_is_said_to_change_is_what_changes(tmp_path):
    """The changed line ends are shown; `patch` makes the one file of the other."""
    path = tmp_path / "job.toml"
    before = 'title = "a\u2028b\u0085c"\r\naltitude = "1 m"\n# a\u2029b'
    path.write_bytes(before.encode())
    done = format_job_file(path, write=False)
    assert done.changed
    assert path.read_bytes() == before.encode()
    assert done.diff() == (
        f"--- {path}\n+++ {path}\n@@ -1,3 +1,3 @@\n"
        '-title = "a\u2028b\u0085c"\r\n'
        '+title = "a\u2028b\u0085c"\n'
        ' altitude = "1 m"\n'
        "-# a\u2029b\n\\ No newline at end of file\n"
        "+# a\u2029b\n"
    )
    assert difference("a", before, before) == ""
