"""The press: a sheet's facts as a PDF or pictures, by typst with `sheet.typ` and the packaged fonts, nothing else."""

import datetime
import functools
import json
import unicodedata
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal

FOLDER = Path(__file__).resolve().parent
SCREEN = 180.0
"""Dots per inch of a picture; at 150 typst draws some letters of the profile by half."""
CLAIM = ("PDF/UA-1 error: the text `", "could not be displayed with font")
"""How typst says that a page cannot carry the claim, because a sign of it has no letter; `unprinted` sees most."""


def sheet_files(facts: Mapping[str, Any], kind: Literal["pdf", "png"] = "pdf") -> list[bytes]:
    """A sheet as the bytes of each of its files: one PDF, or a PNG of each page. [-]

    Parameters
    ----------
    facts : dict
        From `sheet_facts`. [-]
    kind : str
        "pdf" or "png". [-]

    Raises
    ------
    ModuleNotFoundError
        Where typst is not installed.
    ValueError
        Where typst warns, of a font that it lacks.

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.task import plan_job
    >>> from jetwright.report.sheet import sheet_facts
    >>> from jetwright.rig.example import JOB
    >>> from jetwright.report.back import back_facts
    >>> plan = plan_job(JOB, basis_for(JOB))
    >>> back = back_facts(plan.tasks[0], JOB)
    >>> len(sheet_files(sheet_facts(plan, plan.tasks[0], JOB, back=back), "png"))
    2

    References
    ----------
    Our own convention. The PDF is tagged and claims PDF/UA-1 (ISO 14289-1), except with `unprinted` signs; no
    validator was run.
    """
    import typst

    compiler = typst.Compiler(
        FOLDER / "sheet.typ",
        root=FOLDER,
        font_paths=[FOLDER / "fonts"],
        ignore_system_fonts=True,
        sys_inputs={"sheet": json.dumps(facts)},
    )
    day = datetime.datetime.combine(datetime.date(*facts["day"]), datetime.time(), datetime.UTC)
    claimed = kind == "pdf" and not unprinted(facts)
    try:
        made, warnings = compiler.compile_with_warnings(
            format=kind, ppi=SCREEN, timestamp=day, pdf_standards="ua-1" if claimed else None
        )
    except typst.TypstError as error:
        if not (error.message.startswith(CLAIM[0]) and CLAIM[1] in error.message):
            raise
        made, warnings = compiler.compile_with_warnings(format=kind, timestamp=day)
    if warnings:
        raise ValueError("; ".join(str(warning) for warning in warnings))
    assert made is not None
    return [made] if isinstance(made, bytes) else made


def unprinted(facts: Mapping[str, Any]) -> str:
    """The signs on a sheet that its fonts lack, each once: a box stands in the place of each. [-]

    Parameters
    ----------
    facts : dict
        From `sheet_facts`. [-]

    Examples
    --------
    >>> unprinted({"head": {"task": "Tubería 作業一"}})
    '作業一'

    References
    ----------
    Our own convention: `fonts/signs.txt`, which `tools/fetch_fonts.py` reads out of the fonts; letters composed as in
    Unicode's form NFC.
    """
    text = unicodedata.normalize("NFC", json.dumps(facts, ensure_ascii=False))
    return "".join(sign for sign in dict.fromkeys(text) if not (ord(sign) in _signs() or _unseen(sign)))


def _unseen(sign: str) -> bool:
    return unicodedata.category(sign) in ("Cc", "Cf", "Zs", "Zl", "Zp") or "\ufe00" <= sign <= "\ufe0f"


@functools.cache
def _signs() -> frozenset[int]:
    rows = (FOLDER / "fonts" / "signs.txt").read_text(encoding="ascii").split()
    ends = [[int(end, 16) for end in row.split("-")] for row in rows]
    return frozenset(code for first, last in ends for code in range(first, last + 1))
