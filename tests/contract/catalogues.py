"""The catalogues: collected from the source, merged, compiled. `make strings` runs this file; the tests use it too."""

import datetime
import io
import pathlib

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

PACKAGE = pathlib.Path(__file__).parents[2] / "src" / "jetwright"
TEMPLATE = PACKAGE / "locale" / "jetwright.pot"
KEYWORDS = {"_": None, "N_": None, "gettext": None, "ngettext": (1, 2), "pgettext": ((1, "c"), 2), "Quantity": (2,)}
HEADER = (
    "# What Jetwright says to a crew.\n# `make strings` collects, merges and compiles; the msgid is plain English.\n#"
)


def read(path: pathlib.Path) -> Catalog:
    with path.open("rb") as file:
        return read_po(file)


def write(catalogue: Catalog) -> bytes:
    buffer = io.BytesIO()
    write_po(buffer, catalogue, width=110, sort_by_file=True, include_lineno=False, ignore_obsolete=True)
    return buffer.getvalue()


def collected(since: datetime.datetime) -> Catalog:
    """A template of every string in the source that a person reads."""
    template = Catalog(project="Jetwright", charset="utf-8", fuzzy=False, header_comment=HEADER, creation_date=since)
    found = extract_from_dir(
        PACKAGE,
        [("**.py", "python"), ("web/templates/**.html", "jinja2")],
        options_map={"web/templates/**.html": {"trim_blocks": "true", "lstrip_blocks": "true", "silent": "false"}},
        keywords=KEYWORDS,
        comment_tags=["Translators:"],
        strip_comment_tags=True,
    )
    for name, line, message, comments, context in found:
        if message and message != ("", ""):
            template.add(message, None, [(name, line)], auto_comments=comments, context=context)
    return template


def template_text(since: datetime.datetime) -> bytes:
    return write(collected(since))


def compiled(path: pathlib.Path) -> bytes:
    buffer = io.BytesIO()
    write_mo(buffer, read(path))
    return buffer.getvalue()


def main() -> None:
    TEMPLATE.parent.mkdir(exist_ok=True)
    now = datetime.datetime.now(datetime.UTC).replace(microsecond=0, second=0)
    since = read(TEMPLATE).creation_date if TEMPLATE.exists() else now
    if not TEMPLATE.exists() or template_text(since) != TEMPLATE.read_bytes():
        TEMPLATE.write_bytes(template_text(now))
    template = read(TEMPLATE)
    for path in sorted(TEMPLATE.parent.glob("*/LC_MESSAGES/jetwright.po")):
        catalogue = read(path)
        catalogue.update(template, no_fuzzy_matching=True)
        path.write_bytes(write(catalogue))
        path.with_suffix(".mo").write_bytes(compiled(path))
        missing = [m.id for m in catalogue if m.id and not (m.string if isinstance(m.string, str) else all(m.string))]
        print(f"{path.parent.parent.name}: {len(catalogue)} strings, {len(missing)} to be written")
        for text in missing:
            print(f"    {text!r}")


if __name__ == "__main__":
    main()
