"""What is wrong with a file that somebody brought, line by line: where in it, and in the words of the pages."""

from jetwright.actions.called import called
from jetwright.errors import FileError, Problem
from jetwright.report.wording import _
from jetwright.web.typed import words_of


def file_lines(error: FileError) -> list[str]:
    """Every problem of a refused file, one a line, in the order of file and line. [-]"""
    ordered = sorted(error.problems, key=lambda one: (one.code == "more_problems", one.file, one.line))
    return list(dict.fromkeys(map(_line, ordered)))


def _line(problem: Problem) -> str:
    unknown = problem.code == "unknown_key"  # only a file can have one: it is quoted as it is written there
    where = f"{problem.file}:{problem.line}" if problem.file and problem.line else problem.file
    about = called(problem.key[:-1] if unknown else problem.key)
    written = _("“{text}”").format(text=problem.written) if problem.written else ""
    parts = [where, about, written, _unknown(problem) if unknown else words_of(problem)]
    return ": ".join(" ".join(part.split()) for part in parts if part)


def _unknown(problem: Problem) -> str:
    nearest, belongs = problem.facts.get("nearest"), problem.facts.get("belongs")
    if belongs:
        return _("nothing is called so here; it belongs to “{part}”").format(part=called(str(belongs)))
    if belongs == "":
        return _("nothing is called so here; it belongs at the top of the file")
    if nearest:
        return _("nothing is called so here; did you mean “{nearest}”?").format(nearest=nearest)
    return _("nothing is called so here")
