"""Docs are held to the code: pages that follow from it, names, limits, sources."""

import ast
import re

import pytest

from tests.contract.pages import PAGES, current
from tests.contract.source import CORE, ROOT, modules, public_functions, room
from tests.contract.test_docstrings import parameters, sections, unit_at_end

DOCS = ROOT / "docs"


def rows(page):
    """Cells of each row of a page's tables, code quotes taken off."""
    lines = (DOCS / page).read_text(encoding="utf-8").splitlines()
    tables = [
        [cell.strip().strip("`") for cell in line.strip("|").split("|")] for line in lines if line.startswith("|")
    ]
    return [row for row in tables if not set(row[0]) <= {"-"}]


@pytest.mark.parametrize("page", PAGES)
def test_what_follows_from_the_code_is_current(page):
    assert (ROOT / page).read_text(encoding="utf-8") == current(page), "make pages"


# ---- nomenclature

NAMES = {row[0]: row[1] for row in rows("nomenclature.md")}


def floats():
    """Module, function, parameter and unit of each float that a public function of the core takes."""
    for module, function in public_functions():
        if room(module) in CORE and room(module) != "units":  # units.py converts any quantity
            told = dict(parameters(sections(function).get("Parameters", "")))
            for argument in [*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs]:
                if argument.annotation is not None and ast.unparse(argument.annotation) in {"float", "float | None"}:
                    yield module, function, argument.arg, unit_at_end(told.get(argument.arg, ""))


def several(unit):
    """Whether a parameter serves more than one quantity, as its docstring then says."""
    return unit in {"any", "SI"} or " or " in unit or "," in unit


def test_physical_names_come_from_the_nomenclature():
    unknown = sorted(
        {f"{name} [{unit}] {m}:{f.name}" for m, f, name, unit in floats() if name not in NAMES and not several(unit)}
    )
    assert unknown == []


def test_a_name_has_one_unit():
    other = sorted(
        {
            f"{name} [{unit}], not [{NAMES[name]}] {m}:{f.name}"
            for m, f, name, unit in floats()
            if name in NAMES and unit != NAMES[name] and not several(unit)
        }
    )
    assert other == []


def test_the_nomenclature_names_nothing_twice_and_nothing_unused():
    names = [row[0] for row in rows("nomenclature.md")[1:]]
    assert len(names) == len(set(names))
    text = "\n".join((ROOT / "src" / "jetwright" / m).read_text(encoding="utf-8") for m in modules() if room(m) in CORE)
    assert [name for name in names if not re.search(rf"\b{name}\b", text)] == []


# ---- limits

RULES = {row[0]: row for row in rows("rules.md")[1:]}
RULE_ID = re.compile(r"^[a-z]+(_[a-z]+)*\.[a-z]+(_[a-z]+)*$")


def judged():
    """Ids of the limits that the code can return, with the function that judges each."""
    found = {}
    for module, tree in modules().items():
        if room(module) == "limits":
            for function in (node for node in tree.body if isinstance(node, ast.FunctionDef)):
                for call in (node for node in ast.walk(function) if isinstance(node, ast.Call)):
                    for node in [*call.args[:1], *(k.value for k in call.keywords if k.arg in {"id", "identity"})]:
                        if isinstance(node, ast.Constant) and isinstance(node.value, str) and RULE_ID.match(node.value):
                            found[node.value] = (
                                f"jetwright.{module.removesuffix('.py').replace('/', '.')}.{function.name}"
                            )
    return found


def test_every_limit_is_in_the_rules_and_every_rule_in_the_code():
    assert {rule: row[3] for rule, row in RULES.items()} == judged()


def test_every_rule_has_a_test():
    quoted = set()
    for path in (ROOT / "tests").rglob("test_*.py"):
        quoted |= set(re.findall(r"mark\.rule\(\s*[\"']([a-z._]+)[\"']", path.read_text(encoding="utf-8")))
    assert quoted == set(RULES)


# ---- sources

WORKS = [row[0] for row in rows("sources.md")[1:] if len(row) == 3 and row[0] != "id"]
OWN = re.compile(
    r"\bour own|common practice|definition|geometry|common handbook form|interpolation"
    r"|horner|newton's method|taylor's series|continuity|bisection"
    r"|physics:|plate|the job file|equal holes",
    re.IGNORECASE,
)
SEE = re.compile(
    r"\bAs `\w|\bThe inverse of `|^`[\w.]+`|`(parts|water|solve)\.[\w.]+`|Least squares on `|docs/[\w-]+\.md"
)


@pytest.mark.parametrize(
    ("module", "function"), [pytest.param(m, f, id=f"{m}:{f.name}") for m, f in public_functions()]
)
def test_what_a_docstring_cites_is_listed(module, function):
    """Each reference names a work of docs/sources.md, ourselves, or another function that does."""
    cited = sections(function).get("References", "")
    assert any(work in cited for work in WORKS) or OWN.search(cited) or SEE.search(cited.strip()), cited


def test_each_work_is_listed_once():
    assert len(WORKS) == len(set(WORKS))


def test_each_work_listed_is_cited():
    folders = ("src", "tests", "tools", "benchmarks", "docs")
    texts = [
        path.read_text(encoding="utf-8")
        for folder in folders
        for pattern in ("*.py", "*.csv", "*.md")
        for path in (ROOT / folder).rglob(pattern)
        if path.name != "sources.md"
    ]
    assert [work for work in WORKS if not any(work in text for text in texts)] == []


# ---- pages


def test_every_page_is_in_the_index():
    text = (DOCS / "index.md").read_text(encoding="utf-8")
    pages = {path.stem for path in DOCS.glob("*.md")} - {"index"}
    assert [page for page in sorted(pages) if not re.search(rf"^{page}(\*\*)?$", text, re.MULTILINE)] == []


def test_links_of_the_front_pages_lead_somewhere():
    for page in ("README.md", "CONTRIBUTING.md"):
        for target in re.findall(r"\]\(([^)#]+)", (ROOT / page).read_text(encoding="utf-8")):
            assert (ROOT / target).exists(), f"{page}: {target}"


def test_pages_that_docstrings_point_to_exist():
    text = "\n".join(path.read_text(encoding="utf-8") for path in (ROOT / "src").rglob("*.py"))
    assert [page for page in sorted(set(re.findall(r"docs/[\w/-]+\.md", text))) if not (ROOT / page).exists()] == []
