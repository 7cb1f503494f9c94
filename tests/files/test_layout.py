"""Job files put in order."""

import random
import re
import stat
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jetwright.errors import FileError
from jetwright.files.layout import ORDER, format_job, write_formatted
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
    assert write_formatted(path)
    assert path.read_text() == reference
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert [each.name for each in tmp_path.iterdir()] == ["job.toml"]
    before = path.stat().st_mtime_ns
    assert not write_formatted(path)
    assert path.stat().st_mtime_ns == before


def test_a_file_that_is_not_to_be_written_stays(tmp_path):
    """Its folder alone would let it be replaced."""
    path = tmp_path / "job.toml"
    path.write_text('title="Rack"')
    path.chmod(0o444)
    with pytest.raises(FileError) as told:
        write_formatted(path)
    assert [problem.code for problem in told.value.problems] == ["not_writable"]
    assert path.read_text() == 'title="Rack"'
    assert list(tmp_path.iterdir()) == [path]


def test_a_link_is_not_written_through(tmp_path, reference):
    (tmp_path / "job.toml").write_text('b=1\ntitle="x"\n')
    (tmp_path / "link.toml").symlink_to(tmp_path / "job.toml")
    with pytest.raises(FileError) as caught:
        write_formatted(tmp_path / "link.toml")
    assert [p.code for p in caught.value.problems] == ["yard_link"]
    assert (tmp_path / "job.toml").read_text() == 'b=1\ntitle="x"\n'
