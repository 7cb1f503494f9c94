"""Whatever a file holds, only a FileError comes out, and it can say where."""

import re

from hypothesis import given
from hypothesis import strategies as st

from jetwright.errors import FileError
from jetwright.files.job import read_job

VALUES = st.recursive(
    st.sampled_from(['""', '"x"', '"9 bar"', '"1,5 mm"', "1", "-1.5", "nan", "inf", "true", "2026-01-01", "07:30:00",
                     "2026-01-01T07:30:00Z", '"P28"', '"gun"', "0x10", "1e400", "9_9", "{}", "[]"]),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda each: "[" + ", ".join(each) + "]"),
        st.dictionaries(st.sampled_from(["bore", "tip", "tool", "x", "flow"]), inner, max_size=3).map(
            lambda each: "{" + ", ".join(f"{key} = {value}" for key, value in each.items()) + "}"
        ),
    ),
    max_leaves=5,
)  # fmt: skip


def read(folder, raw):
    path = folder / "job.toml"
    path.write_bytes(raw)
    try:
        read_job(path)
    except FileError as error:
        lines = raw.count(b"\n") + 1
        for problem in error.problems:
            assert problem.file
            assert 0 <= problem.line <= lines or "yard" in problem.file


@given(raw=st.binary(max_size=300))
def test_bytes(folder, raw):
    read(folder, raw)


@given(text=st.text(max_size=200))
def test_texts(folder, text):
    read(folder, text.encode("utf-8", "surrogatepass"))


@given(data=st.data())
def test_values_of_every_sort_in_every_place(folder, reference, data):
    """The reference job with some of its values replaced by others, of any sort."""
    text = reference
    for _ in range(data.draw(st.integers(1, 4))):
        places = [
            m.span() for m in re.finditer(r"(?<== )(?:\"[^\"\n]*\"|[0-9.-]+|true|\[[^\]\n]*\]|\{[^}\n]*\})", text)
        ]
        start, end = data.draw(st.sampled_from(places))
        text = text[:start] + data.draw(VALUES) + text[end:]
    read(folder, text.encode())


@given(data=st.data())
def test_cut_and_pasted_lines(folder, reference, data):
    """The reference job with lines gone, doubled, moved and cut short."""
    lines = reference.split("\n")
    for _ in range(data.draw(st.integers(1, 5))):
        at = data.draw(st.integers(0, len(lines) - 1))
        to = data.draw(st.integers(0, len(lines) - 1))
        line = lines.pop(at)
        lines.insert(to, data.draw(st.sampled_from([line, line + "\n" + line, line[: len(line) // 2], ""])))
    read(folder, "\n".join(lines).encode())
