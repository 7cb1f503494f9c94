"""Parts of the docs that follow from the code. `make pages` runs this file and rewrites them; a test compares."""

import pathlib
import re
import tempfile
import tomllib
from collections.abc import Iterator

from click.testing import CliRunner

from jetwright import units
from jetwright.cli import command
from jetwright.files.goals import goals
from jetwright.files.rules import rule_set
from jetwright.files.shapes import JOB, Shape, keys_of
from jetwright.limits.rules import SORTS
from jetwright.report.goal_words import GRADES
from jetwright.rig.check import RULE_SETS

ROOT = pathlib.Path(__file__).parents[2]
BLOCK = re.compile(r"(<!-- begin: (\w+) -->\n).*?(<!-- end: \2 -->)", re.DOTALL)


def units_table() -> Iterator[str]:
    """The closed table of units, a kind a line."""
    yield "| kind | units | for example |"
    yield "|---|---|---|"
    for kind, known in units.KINDS.items():
        names = [f"`{name}`" for name, unit in known.items() if unit.typed]
        if names and kind in units.EXAMPLES and kind not in units.RULE_KINDS:
            yield f"| {kind.replace('_', ' ')} | {', '.join(names)} | `{units.EXAMPLES[kind]}` |"


def job_tables() -> Iterator[str]:
    """Every table of the job file with its keys."""
    yield from table("", "the top of the file", JOB)


def table(path: str, heading: str, shape: Shape) -> Iterator[str]:
    yield f"### {heading}"
    yield ""
    said = (shape.table.__doc__ or "").strip().split("\n")[0]
    if said and not said.startswith(f"{shape.table.__name__}("):
        yield said.removesuffix(" [-]")
        yield ""
    yield "| key | what | written as | default |"
    yield "|---|---|---|---|"
    inside = []
    for key in keys_of(shape.table).values():
        yield f"| `{key.key}` | {what(key.shape)} | {written(key.shape)} | {default(key)} |"
        inside.append((f"{path}.{key.key}".lstrip("."), key.shape))
    yield ""
    for below, part in inside:
        if part.sort == "table":
            yield from table(below, f"`[{below}]`", part)
        elif part.sort == "rows":
            yield from table(f"{below}.NAME", f"`[{below}.NAME]`", part.parts[0])
        elif part.sort == "list" and part.parts[0].sort == "table":
            yield from table(below, f"`[[{below}]]`", part.parts[0])


def what(shape: Shape) -> str:
    return shape.quantity.says if shape.quantity else ""


def written(shape: Shape) -> str:
    if shape.sort == "text":
        return "text"
    if shape.sort == "yes_no":
        return "`true` or `false`"
    if shape.sort == "date":
        return "date"
    if shape.sort == "words":
        return ", ".join(f'`"{word}"`' for word in shape.words)
    if shape.sort == "list":
        return f"list of: {written(shape.parts[0])}"
    if shape.sort == "pair":
        return "pair of: " + "; ".join(f"{what(part)} ({written(part)})" for part in shape.parts)
    if shape.sort in {"table", "rows"}:
        return "table" if shape.sort == "table" else "table of named rows"
    return f"{sort(shape)}{bounds(shape)}"


def sort(shape: Shape) -> str:
    if shape.sort == "count":
        return "whole number"
    if shape.sort == "number":
        return "number"
    return shape.quantity.kind.replace("_", " ").replace("flow at", "flow at a pressure")


def bounds(shape: Shape) -> str:
    quantity, said = shape.quantity, []
    for words, value in (("above", quantity.above), ("at least", quantity.at_least), ("at most", quantity.at_most)):
        if value is not None:
            said.append(f"{words} {shown(value, quantity)}")
    return f", {', '.join(said)}" if said else ""


def shown(value: object, quantity) -> str:
    if not isinstance(value, (int, float)) or isinstance(value, bool):
        return str(value)
    if not quantity.shown or quantity.kind == "ratio":
        return f"{value:g}"
    kind = "flow" if quantity.kind == "flow_at" else quantity.kind
    return f"{units.to(float(value), quantity.shown, kind):.6g} {quantity.shown}"


def default(key) -> str:
    if key.required:
        return "required"
    if key.default is None or (not isinstance(key.default, (bool, int, float, str)) and not key.default):
        return ""
    if isinstance(key.default, bool):
        return f"`{str(key.default).lower()}`"
    return f"`{shown(key.default, key.shape.quantity)}`"


RULES = ROOT / "src" / "jetwright" / "data" / "rules"


def rule_sets() -> Iterator[str]:
    """Each rule set as its file has it: all of the generic one, and what the others change."""
    for name in RULE_SETS:
        written = tomllib.loads((RULES / f"{name}.toml").read_text(encoding="utf-8"))
        rules = rule_set(name)
        read = sum(bound.verified for bound in rules.bounds.values())
        yield f"### `{name}`, version {rules.version}"
        yield ""
        yield f"{written['says']}. Of its {len(rules.bounds)} bounds {read} were read in their source."
        yield ""
        if "bounds" in written:
            yield "| bound | value | source | standing | read | beyond it |"
            yield "|---|---|---|---|---|---|"
        for identity, row in written.get("bounds", {}).items():
            bound = rules.bounds[identity]
            value = f"{'at least' if bound.sense == 'least' else 'at most'} {row['value']}"
            cells = (f"`{identity}`", value, row["source"], row["standing"], "yes" if row["verified"] else "no")
            refuses = bound.refuses and not SORTS[identity].warns
            yield f"| {' | '.join(cells)} | {'not allowed' if refuses else 'look first'} |"
        if "bounds" in written:
            yield ""


def published_goals() -> Iterator[str]:
    """Every pressure class and every grade, edition by edition."""
    yield "| edition | class | from | taken from | read |"
    yield "|---|---|---|---|---|"
    for one in goals().classes:
        border = "border not read"
        if one.border is not None:
            figures = [units.show(end, unit, 5) for end, unit in zip(one.border, ("bar", "psi"), strict=True)]
            printed = " / ".join(figures if one.border[0] != one.border[1] else figures[:1])
            border = f"{'above ' if one.above else ''}{printed}" if one.border[0] else "the lowest"
        yield f"| {one.edition} | {one.term} | {border} | {one.source} | {'yes' if one.verified else 'no'} |"
    yield ""
    yield "| grade | edition | asks for | closest | taken from | read |"
    yield "|---|---|---|---|---|---|"
    for grade in goals().grades:
        cells = (grade.name, grade.edition, GRADES[grade.says], grade.nearest, grade.source)
        yield f"| {' | '.join(cells)} | {'yes' if grade.verified else 'no'} |"


def helps() -> Iterator[str]:
    """What `--help` prints, the group first."""
    for name in ("", *command.commands_of):
        yield f"## `{f'jetwright {name}'.strip()}`"
        yield ""
        yield "```text"
        answer = CliRunner().invoke(
            command, [*name.split(), "--help"], prog_name="jetwright", env={"COLUMNS": "100", "LANGUAGE": "en"}
        )
        yield answer.output.rstrip()
        yield "```"
        yield ""


def readme_plan() -> Iterator[str]:
    """The rig of the README, planned by the command as it is installed."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    job = re.search(r"```toml\n(.*?)```", readme, re.DOTALL)[1]
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder, "job.toml")
        path.write_text(job, encoding="utf-8")
        answer = CliRunner().invoke(command, ["plan", str(path)], prog_name="jetwright", env={"LANGUAGE": "en"})
    yield "```text"
    yield from (line.rstrip() for line in answer.output.rstrip().splitlines())
    yield "```"


PAGES = {
    "docs/job-file.md": {"units": units_table, "tables": job_tables},
    "docs/rule-sets.md": {"sets": rule_sets},
    "docs/goals.md": {"goals": published_goals},
    "docs/commands.md": {"commands": helps},
    "README.md": {"plan": readme_plan},
}


def current(page: str) -> str:
    """The page as it should stand: its own text, and the blocks made anew."""
    made = PAGES[page]
    text = (ROOT / page).read_text(encoding="utf-8")
    return BLOCK.sub(lambda m: f"{m[1]}{chr(10).join(made[m[2]]()).rstrip()}\n{m[3]}", text)


if __name__ == "__main__":
    for page in PAGES:
        (ROOT / page).write_text(current(page), encoding="utf-8")
