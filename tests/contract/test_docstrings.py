"""Docstrings are held to the code: units, parameters, errors, a source and an example that runs."""

import ast
import inspect
import re

import pytest

from tests.contract.source import modules, public_functions

FUNCTIONS = [pytest.param(m, f, id=f"{m}:{f.name}") for m, f in public_functions()]
SECTION = re.compile(r"^(\w[\w ]*)\n-{3,}$", re.MULTILINE)
UNIT = re.compile(r"\[([^\[\]]+)\]\.?$")
ATOMS = frozenset(
    (
        "-",
        "SI",
        "1",
        "kg",
        "g",
        "m",
        "mm",
        "s",
        "K",
        "J",
        "kJ",
        "W",
        "kW",
        "N",
        "Pa",
        "rad",
        "rev",
        "mol",
        "min",
        "bar",
        "%",
    )
)  # the units of docs/nomenclature.md; exponents, · and / join them


def sections(function: ast.FunctionDef) -> dict[str, str]:
    """The docstring cut at its underlined headings; "" holds what stands before the first."""
    text = inspect.cleandoc(ast.get_docstring(function) or "")
    pieces = SECTION.split(text)
    return {"": pieces[0], **dict(zip(pieces[1::2], pieces[2::2], strict=True))}


def unit_at_end(text: str) -> str:
    found = UNIT.search(text.strip())
    return found[1] if found else ""


def known_unit(unit: str) -> bool:
    if re.fullmatch(r"any|the unit( of \w+)?", unit):  # a function that serves any quantity
        return True
    bare = re.sub(r"[√⁻⁰¹²³⁴-⁹·/(),;^ ]+|\bor\b|\band\b|\*\*\d", " ", unit)
    return all(atom in ATOMS for atom in bare.split() or ["?"])


def parameters(text: str) -> list[tuple[str, str]]:
    """Name and description of each entry of a Parameters section."""
    entries: list[tuple[str, str]] = []
    for line in text.strip("\n").splitlines():
        if line and not line[0].isspace():
            entries += [(name.strip().lstrip("*"), "") for name in line.split(":")[0].split(",")]
            shared = len(line.split(":")[0].split(","))
        elif entries:
            for at in range(len(entries) - shared, len(entries)):
                entries[at] = (entries[at][0], f"{entries[at][1]} {line.strip()}".strip())
    return entries


def raised(function: ast.FunctionDef) -> set[str]:
    """Names of the exceptions that the body raises by name."""
    return {
        name
        for node in ast.walk(function)
        if isinstance(node, ast.Raise) and node.exc is not None
        for name in [getattr(getattr(node.exc, "func", node.exc), "id", "")]
        if name and name[0].isupper()
    }


@pytest.mark.parametrize(("module", "function"), FUNCTIONS)
def test_first_line_ends_with_the_unit_of_the_result(module, function):
    first = sections(function)[""].split("\n")[0]
    assert unit_at_end(first), f"{module}:{function.lineno} {first!r}"
    assert known_unit(unit_at_end(first)), f"{module}:{function.lineno} {first!r}"


@pytest.mark.parametrize(("module", "function"), FUNCTIONS)
def test_parameters_are_those_of_the_signature_each_with_its_unit(module, function):
    a = function.args
    signature = [x.arg for x in [*a.posonlyargs, *a.args, *([a.vararg] if a.vararg else []), *a.kwonlyargs]]
    signature += [a.kwarg.arg] if a.kwarg else []
    told = parameters(sections(function).get("Parameters", ""))
    assert [name for name, _ in told] == signature, f"{module}:{function.lineno}"
    unitless = [name for name, text in told if not known_unit(unit_at_end(text))]
    assert unitless == [], f"{module}:{function.lineno}"


@pytest.mark.parametrize(("module", "function"), FUNCTIONS)
def test_a_source_is_named(module, function):
    assert sections(function).get("References", "").strip(), f"{module}:{function.lineno}"


@pytest.mark.parametrize(("module", "function"), FUNCTIONS)
def test_an_example_runs(module, function):
    """The run itself is pytest's, over src; here only that it uses the function and has an answer to compare."""
    lines = sections(function).get("Examples", "").strip().splitlines()
    code = "\n".join(line for line in lines if line.startswith((">>> ", "... ")))
    used = rf"(?<!\w){function.name}\(|@{function.name}\b"
    assert re.search(used, code), f"{module}:{function.lineno} does not call {function.name}"
    answers = [line for line in lines if line and not line.startswith((">>>", "..."))]
    silent = function.returns is not None and ast.unparse(function.returns) in {"None", "Iterator[None]"}
    assert answers or silent, f"{module}:{function.lineno} no answer"


@pytest.mark.parametrize(("module", "function"), FUNCTIONS)
def test_errors_are_told(module, function):
    told = sections(function).get("Raises", "")
    missing = {name for name in raised(function) if not re.search(rf"^{name}\b", told, re.MULTILINE)}
    assert missing == set(), f"{module}:{function.lineno}"


@pytest.mark.parametrize("module", [module for module in modules() if "/migrations/0" not in module])
def test_public_classes_say_what_they_are(module):
    silent = [
        f"{module}:{node.lineno} {node.name}"
        for node in modules()[module].body
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_") and not ast.get_docstring(node)
    ]
    assert silent == []
