"""What is wrong with a file that was brought is said where it stands, in the words of the pages."""

import re

import pytest

from jetwright.errors import FileError
from jetwright.files.job import read_job
from jetwright.web.in_file import file_lines
from tests.report.keys import keys_in
from tests.report.test_problems import BROKEN

pytestmark = pytest.mark.any_database


def lines_of(folder, text):
    path = folder / "job.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(FileError) as caught:
        read_job(path)
    return [line.removeprefix(f"{path}:") for line in file_lines(caught.value)]


def test_each_problem_stands_under_its_line_and_no_key_is_named(tmp_path):
    lines = lines_of(tmp_path, BROKEN)
    assert [int(line.split(":")[0]) for line in lines] == sorted(int(line.split(":")[0]) for line in lines)
    assert len(lines) > 8
    said = [re.sub("“.*?”", "", line) for line in lines]  # without what is quoted out of the file
    assert {key for line in said for key in keys_in(line)} == set()


def test_a_key_that_no_table_has_is_quoted_with_the_nearest(tmp_path):
    lines = lines_of(tmp_path, BROKEN.replace("[tips.R10]\n", '[tips.R10]\nboar = "1 mm"\n'))
    assert any("R10: “boar”: nothing is called so here; did you mean “bore”?" in line for line in lines)


def test_a_key_that_slid_into_the_next_table_is_sent_home(tmp_path):
    rack = '[unit]\nflow = "82 L/min"\n[supply]\npressure = "3 bar"\n'
    assert any("it belongs to “Supply”" in line for line in lines_of(tmp_path, f'title = "Rack"\n{rack}'))
    assert any("it belongs at the top of the file" in line for line in lines_of(tmp_path, f'{rack}title = "Rack"\n'))
