"""The package's own text, as the contract tests read it."""

import ast
import functools
import pathlib
from collections.abc import Iterator

ROOT = pathlib.Path(__file__).parents[2]
PACKAGE = ROOT / "src" / "jetwright"
CORE = ("errors", "units", "kernel", "water", "parts", "rig", "solve", "limits", "plan")  # the standard library alone


@functools.cache
def modules() -> dict[str, ast.Module]:
    """Each module's path below src/jetwright and its syntax tree."""
    return {
        path.relative_to(PACKAGE).as_posix(): ast.parse(path.read_text(encoding="utf-8"), str(path))
        for path in sorted(PACKAGE.rglob("*.py"))
    }


def room(module: str) -> str:
    """The room a module lies in: "parts" for parts/pump.py, "units" for units.py."""
    return module.split("/")[0].removesuffix(".py")


def imports(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Line and absolute name of each imported module, wherever in the module it stands."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.lineno, "." * node.level + (node.module or "")


def dotted(node: ast.AST) -> str:
    """The dotted name of a decorator, a call or an attribute; "" if it is anything else."""
    if isinstance(node, ast.Call):
        return dotted(node.func)
    if isinstance(node, ast.Attribute):
        return f"{dotted(node.value)}.{node.attr}".lstrip(".")
    return node.id if isinstance(node, ast.Name) else ""


def is_command(function: ast.FunctionDef) -> bool:
    """Whether a function is a click command; its docstring would be a help text, not a description for developers."""
    return any(dotted(d).split(".")[-1] in {"command", "group"} for d in function.decorator_list)


def public_functions() -> Iterator[tuple[str, ast.FunctionDef]]:
    """Module and definition of each public function at a module's top level, click commands and the pages apart."""
    for module, tree in modules().items():
        if room(module) == "web":  # a view answers a request; what it shows is tested as a page
            continue
        for node in tree.body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_") and not is_command(node):
                yield module, node


def docstrings(tree: ast.Module) -> set[int]:
    """Identities of the constants that are docstrings (of modules, classes, functions and fields)."""
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            found.add(id(node.value))
    return found
