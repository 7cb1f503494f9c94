"""Tables in memory: the same job as from the file, through JSON and TOML and back."""

import json
import pathlib
import tomllib

import pytest

from jetwright.errors import FileError
from jetwright.files.job import read_job
from jetwright.files.tables import as_json, from_json, job_in, thawed, toml_text

ROOT = pathlib.Path(__file__).parents[2]
EXAMPLES = [path for path in sorted((ROOT / "examples").rglob("*.toml")) if path.stem not in ("yard", "site")]


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_a_job_survives_json_and_toml(path):
    read = read_job(path)
    tables = {key: value for key, value in thawed(read.written).items() if key not in ("yard", "site_rules")}
    plain = json.loads(json.dumps(as_json(tables)))
    assert from_json(plain) == tables
    assert tomllib.loads(toml_text(tables)) == tables  # the standard library's reader is the outside
    again = job_in(from_json(plain)).job
    for name in ("supply", "unit", "task", "hoses", "fittings", "tips", "tools", "date"):
        assert getattr(again, name) == getattr(read.job, name)


def test_every_problem_has_its_key_and_the_name_of_the_place():
    with pytest.raises(FileError) as refused:
        job_in({"title": "Rack", "supply": {"pressure": "3 bars"}}, "Rack")
    found = {(problem.key, problem.code) for problem in refused.value.problems}
    assert (("supply", "pressure"), "unknown_unit") in found
    assert (("unit",), "missing_key") in found
    assert {problem.file for problem in refused.value.problems} == {"Rack"}


def test_a_date_that_is_none_stays_text_and_is_refused():
    plain = {"date": "2026-02-30"}
    assert from_json(plain) == plain
    with pytest.raises(FileError) as refused:
        job_in(from_json(plain))
    assert (("date",), "wrong_type") in {(problem.key, problem.code) for problem in refused.value.problems}


def test_a_text_that_looks_like_a_date_is_no_date():
    plain = {"title": "2026-05-12", "hoses": {"2026-05-12": {"tested": "2026-05-12"}}}
    read = from_json(plain)
    assert read["title"] == "2026-05-12"
    assert read["hoses"]["2026-05-12"]["tested"].year == 2026


def test_what_is_thawed_is_a_copy():
    tables = {"task": [{"hose_run": ["A"]}]}
    thawed(tables)["task"][0]["hose_run"].append("B")
    assert tables == {"task": [{"hose_run": ["A"]}]}


def test_no_file_is_read_for_tables(tmp_path, monkeypatch):
    """A yard or a site's rules that tables name would be looked for below wherever the program runs."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "site.toml").write_text('name = "site"\n')
    with pytest.raises(FileError) as refused:
        job_in({"title": "Rack", "site_rules": "site.toml", "yard": "yard.toml"})
    named = [problem.key for problem in refused.value.problems if problem.code == "names_a_file"]
    assert sorted(named) == [("site_rules",), ("yard",)]
