"""What a person reads: through gettext, in the trade's words, and never a promise that is not ours to make."""

import ast
import datetime
import re

import pytest
from babel.messages.pofile import read_po
from click.testing import CliRunner

from jetwright.cli import command
from jetwright.cli.group import COMMANDS
from tests.contract.catalogues import collected
from tests.contract.source import PACKAGE, docstrings, dotted, modules, room

SPEAKING = [m for m in modules() if room(m) in {"report", "cli"}]
SINKS = {
    "print",
    "echo",
    "secho",
    "confirm",
    "prompt",
    "add_row",
    "add_column",
    "Column",
    "Table",
    "Panel",
    "Text",
    "Rule",
}
SINKS |= {"from_markup", "Group", "fail", "UsageError", "ClickException", "BadParameter", "status", "track", "log"}
READ_BY_A_PERSON = {
    "help",
    "short_help",
    "epilog",
    "title",
    "caption",
    "header",
    "footer",
    "label",
    "text",
    "description",
}
MARKUP = re.compile(r"\[/?[a-z _.]*\]")
WORD = re.compile(r"[^\W\d_]{3,}")
TECHNICAL = {
    "bar",
    "psi",
    "MPa",
    "kPa",
    "ksi",
    "min",
    "gpm",
    "rpm",
    "lbf",
    "JSON",
    "json",
    "utf",
    "Jetwright",
    "jetwright",
}

PROMISES = re.compile(
    r"\b(adjust\w* (the )?relief|(is|are|was|be) safe\b|safe to\b|safely\b|all safe|good to go|no[- ]go\b|go[- ]ahead"
    r"|ajust\w* (la )?(válvula de alivio|válvula de seguridad)|es segur[oa]\b|son segur[oa]s\b|sin peligro)"
    r"|^\W*(go|no go|safe|unsafe|seguro|inseguro|adelante)\W*$",
    re.IGNORECASE,
)

VERDICT_NOT_OURS = re.compile(r"\b(go|no-go|safe|safely|unsafe)\b", re.IGNORECASE)
LET_GO = re.compile(r"\blet(s|ting)? go\b", re.IGNORECASE)
"""What a hand does to a trigger."""
ADJUST = re.compile(r"\badjust\w* (the |a |this )?relief|\b(re)?set the relief", re.IGNORECASE)


def promised(texts):
    """Those that say "go" or "safe" as a verdict would, or touch a relief."""
    return [t for t in texts if VERDICT_NOT_OURS.search(LET_GO.sub("", t)) or ADJUST.search(t)]


def said(catalogue):
    return [
        text
        for m in catalogue
        for side in (m.id, m.string)
        for text in ([side] if isinstance(side, str) else side or [])
    ]


def bare_words(node):
    """Words in a literal that no gettext call has seen."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return [w for w in WORD.findall(MARKUP.sub(" ", node.value)) if w not in TECHNICAL]
    if isinstance(node, ast.JoinedStr):
        return [word for part in node.values if isinstance(part, ast.Constant) for word in bare_words(part)]
    if isinstance(node, ast.BinOp):
        return bare_words(node.left) + bare_words(node.right)
    if isinstance(node, ast.IfExp):
        return bare_words(node.body) + bare_words(node.orelse)
    return []


@pytest.mark.parametrize("module", SPEAKING)
def test_what_is_shown_goes_through_gettext(module):
    bare = []
    for call in ast.walk(modules()[module]):
        if isinstance(call, ast.Call):
            shown = [k.value for k in call.keywords if k.arg in READ_BY_A_PERSON]
            if dotted(call).split(".")[-1] in SINKS:
                shown += call.args
            bare += [f"{module}:{node.lineno} {bare_words(node)}" for node in shown if bare_words(node)]
    assert bare == []


@pytest.mark.parametrize("module", [m for m in SPEAKING if room(m) == "cli"])
def test_a_commands_help_is_not_its_docstring(module):
    """click prints a command's docstring as its help, past gettext."""
    found = [
        f"{module}:{node.lineno} {node.name}"
        for node in ast.walk(modules()[module])
        if isinstance(node, ast.FunctionDef) and ast.get_docstring(node)
        for d in node.decorator_list
        if dotted(d).split(".")[-1] in {"command", "group"}
        and not any(k.arg == "help" for k in getattr(d, "keywords", []))
    ]
    assert found == []


@pytest.mark.parametrize("module", modules())
def test_the_source_promises_nothing(module):
    tree = modules()[module]
    told = docstrings(tree)
    strings = [
        n for n in ast.walk(tree) if isinstance(n, ast.Constant) and isinstance(n.value, str) and id(n) not in told
    ]
    assert [f"{module}:{n.lineno} {n.value!r}" for n in strings if PROMISES.search(n.value)] == []


@pytest.mark.parametrize("path", sorted((PACKAGE / "locale").rglob("*.po*")), ids=lambda p: p.name)
def test_no_catalogue_promises_anything(path):
    with path.open("rb") as file:
        texts = said(read_po(file))
    assert [text for text in texts if PROMISES.search(text)] == []
    assert promised(texts) == []


@pytest.mark.filterwarnings("ignore:Empty msgid")
def test_nothing_that_is_said_anywhere_is_a_verdict_of_another_kind():
    """Every string of the source that a person reads, whether the catalogues have it yet or not."""
    assert promised(said(collected(datetime.datetime.now(datetime.UTC)))) == []


@pytest.mark.parametrize("name", ["", *COMMANDS])
def test_no_help_promises_anything(name):
    shown = CliRunner().invoke(command, [*([name] if name else []), "--help"])
    assert shown.exit_code == 0
    assert promised(shown.output.splitlines()) == []


def test_what_a_trigger_does_is_no_promise():
    assert promised(["Let go of the trigger.", "Nobody goes on."]) == []
    assert len(promised(["Go.", "It is safe.", "let go and go on", "Adjust the relief."])) == 4
