"""Where each key of a TOML file stands, and how deep it nests, found without building anything from it.

`tomllib` gives values without their places. This reads the same text once more for the places alone: table headers,
dotted keys, arrays and inline tables (also across lines), with brackets and comments inside texts left alone.
"""

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

Path = tuple[str | int, ...]

DEEPEST = 16
"""Most brackets inside each other, and most parts of a dotted key."""

_TOKEN = re.compile(
    r'(?P<text>"""(?:\\.|[^\\])*?"""(?:"{0,2})|'
    r"'''.*?'''(?:'{0,2})|"
    r'"(?:\\.|[^"\\\n])*"|'
    r"'[^'\n]*')|"
    r"(?P<comment>\#[^\n]*)|"
    r"(?P<newline>\n)|"
    r"(?P<gap>[ \t\r]+)|"
    r"(?P<mark>[\[\]{}=,.])|"
    r"(?P<bare>[^\s\[\]{}=,.\#\"']+|.)",
    re.DOTALL,
)


@dataclass(frozen=True, slots=True)
class Token:
    """A piece of TOML text: kind is "text", "comment", "newline", "mark", "bare" or "end"."""

    kind: str
    text: str
    start: int
    line: int

    @property
    def end(self) -> int:
        """Offset behind it. [-]"""
        return self.start + len(self.text)


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a value stands and what stands there."""

    file: str
    line: int
    written: str


@dataclass(frozen=True, slots=True)
class Statement:
    """A table header (`equals` is 0), or a key with its value: where it starts, its `=` and its end; lines from 1."""

    path: Path
    start: int
    equals: int
    end: int
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class TooDeep:
    """The line on which a text nests deeper than any job file does, or holds a number no computer needs."""

    line: int
    what: str


def tokens(text: str) -> Iterator[Token]:
    """The pieces of a TOML text, blanks left out; anything at all is read, to its end. [-]

    Parameters
    ----------
    text : str
        The file, lines ended by a line feed. [-]

    Examples
    --------
    >>> [t.text for t in tokens('a = "]" # [')]
    ['a', '=', '"]"', '# [']

    References
    ----------
    TOML v1.0.0.
    """
    line = 1
    for found in _TOKEN.finditer(text):
        kind, piece = str(found.lastgroup), found.group()
        if kind != "gap":
            yield Token(kind, piece, found.start(), line)
        line += piece.count("\n")


def too_deep(text: str) -> TooDeep | None:
    """The first place at which a text nests too deep to be parsed. [-]

    Parameters
    ----------
    text : str
        The file, lines ended by a line feed. [-]

    Examples
    --------
    >>> too_deep("a = " + "[" * 5000)
    TooDeep(line=1, what='too_deep')
    >>> too_deep("a = [[1], [2]]") is None
    True

    References
    ----------
    Our own convention.
    """
    depth = parts = 0
    for token in tokens(text):
        if token.kind == "bare" and len(token.text) > 400:
            return TooDeep(token.line, "value")
        if token.text in ("[", "{"):
            depth += 1
        elif token.text in ("]", "}"):
            depth = max(0, depth - 1)
        parts = parts + 1 if token.text == "." else 0 if token.kind in ("mark", "newline") else parts
        if depth > DEEPEST or parts >= DEEPEST:
            return TooDeep(token.line, "too_deep")
    return None


def unclosed(text: str, at: int) -> tuple[int, int, int]:
    """Lines of the outermost open bracket, of the last piece, and of the statement, in front of a place. [-]

    Parameters
    ----------
    text : str
        The file, lines ended by a line feed. [-]
    at : int
        Offset of the place. [-]

    Examples
    --------
    >>> unclosed("a = [1\\nb = 2", 7)
    (1, 1, 1)

    References
    ----------
    Our own convention.
    """
    opened: list[int] = []
    last = statement = 0
    fresh = True
    for token in tokens(text):
        if token.start >= at:
            break
        if token.kind == "newline":
            fresh = fresh or not opened
            continue
        if token.kind == "comment":
            continue
        if fresh and not opened:
            statement, fresh = token.line, False
        last = token.line
        if token.text in ("[", "{"):
            opened.append(token.line)
        elif token.text in ("]", "}") and opened:
            opened.pop()
    return (opened[0] if opened else 0), last, statement


def spots(text: str, file: str) -> dict[Path, Spot]:
    """Where each key and each element of a valid TOML text stands. [-]

    Parameters
    ----------
    text : str
        A text that `tomllib` has parsed, lines ended by a line feed. [-]
    file : str
        Its name, kept in each spot. [-]

    Examples
    --------
    >>> found = spots('[a]\\nb = [\\n  1,\\n  { c = "x" },\\n]', "job.toml")
    >>> [(path, spot.line) for path, spot in found.items()]
    [(('a',), 1), (('a', 'b'), 2), (('a', 'b', 0), 3), (('a', 'b', 1), 4), (('a', 'b', 1, 'c'), 4)]

    References
    ----------
    TOML v1.0.0.
    """
    reader = _Reader(text, file)
    reader.read()
    return reader.found


def statements(text: str) -> list[Statement]:
    """The headers and keys of a valid TOML text, in the order in which they are written. [-]

    Parameters
    ----------
    text : str
        A text that `tomllib` has parsed, lines ended by a line feed. [-]

    Examples
    --------
    >>> [(s.path, s.first, s.last) for s in statements("[[a]]\\nb = [\\n1]\\n")]
    [(('a', 0), 1, 1), (('a', 0, 'b'), 2, 3)]

    References
    ----------
    TOML v1.0.0.
    """
    reader = _Reader(text, "")
    reader.read()
    return reader.statements


def table_of(found: Mapping[Path, Spot], path: Path) -> Path:
    """The longest part of a path that stands in the file. [-]

    Parameters
    ----------
    found : Mapping
        As `spots` gives it. [-]
    path : tuple
        Of a key that may be absent. [-]

    Examples
    --------
    >>> table_of({("a",): Spot("f", 1, "")}, ("a", "b", "c"))
    ('a',)

    References
    ----------
    Our own convention.
    """
    while path and path not in found:
        path = path[:-1]
    return path


class _Reader:
    def __init__(self, text: str, file: str) -> None:
        self.text = text
        self.file = file
        self.pieces = [t for t in tokens(text) if t.kind != "comment"]
        last = self.pieces[-1].line if self.pieces else 1
        self.pieces.append(Token("end", "", len(text), last))
        self.at = 0
        self.found: dict[Path, Spot] = {}
        self.many: dict[Path, int] = {}
        self.statements: list[Statement] = []

    @property
    def now(self) -> Token:
        return self.pieces[self.at]

    def step(self) -> Token:
        token = self.pieces[self.at]
        self.at = min(self.at + 1, len(self.pieces) - 1)
        return token

    def put(self, path: Path, line: int, start: int, end: int) -> None:
        self.found[path] = Spot(self.file, line, self.text[start : min(end, start + 400)])

    def read(self) -> None:
        table: Path = ()
        while self.now.kind != "end":
            if self.now.kind == "newline":
                self.step()
                continue
            first = self.now
            equals = 0
            if first.text == "[":
                path = table = self.header()
            else:
                path, equals = self.pair(table)
            last = self.pieces[self.at - 1]
            end = last.line + last.text.count("\n")
            self.statements.append(Statement(path, first.start, equals, last.end, first.line, end))

    def header(self) -> Path:
        first = self.step()
        several = self.now.text == "["
        if several:
            self.step()
        parts = self.key()
        last = self.step()
        if several:
            last = self.step()
        path: Path = ()
        for place, part in enumerate(parts):
            path = (*path, part)
            if several and place == len(parts) - 1:
                self.many[path] = self.many.get(path, -1) + 1
            if path not in self.found:
                self.put(path, first.line, first.start, last.end)
            if path in self.many:
                path = (*path, self.many[path])
                if path not in self.found:
                    self.put(path, first.line, first.start, last.end)
        self.put(path, first.line, first.start, last.end)
        return path

    def key(self) -> list[str]:
        parts = []
        while True:
            token = self.step()
            parts.append(_name(token))
            if self.now.text != ".":
                return parts
            self.step()

    def pair(self, table: Path) -> tuple[Path, int]:
        """Path of a key, and the offset of its `=`."""
        first = self.now
        path = table
        for part in self.key():
            path = (*path, part)
            if path not in self.found:
                self.put(path, first.line, first.start, first.end)
        equals = self.step().start
        start = self.now.start
        self.value(path)
        end = self.pieces[self.at - 1].end
        self.put(path, first.line, start, end)
        return path, equals

    def value(self, path: Path) -> None:
        """Step over a value; the pieces inside a list or an inline table are put down on the way."""
        if self.now.text == "[":
            self.elements(path)
        elif self.now.text == "{":
            self.step()
            while self.now.text != "}" and self.now.kind != "end":
                if self.now.text == "," or self.now.kind == "newline":
                    self.step()
                else:
                    self.pair(path)
            self.step()
        else:
            while self.now.kind not in ("newline", "end") and self.now.text not in (",", "]", "}"):
                self.step()

    def elements(self, path: Path) -> None:
        self.step()
        index = 0
        while self.now.text != "]" and self.now.kind != "end":
            if self.now.text == "," or self.now.kind == "newline":
                self.step()
                continue
            first = self.now
            self.put((*path, index), first.line, first.start, first.end)
            self.value((*path, index))
            self.put((*path, index), first.line, first.start, self.pieces[self.at - 1].end)
            index += 1
        self.step()


def _name(token: Token) -> str:
    if token.kind != "text":
        return token.text
    if token.text.startswith('"') and "\\" in token.text:
        return str(tomllib.loads(f"k = {token.text}")["k"])
    return token.text[1:-1]
