"""500 job files, each damaged on one line: the line that is named is the line that was damaged."""

import random
import re

COUNT = 500
QUANTITY = re.compile(r'"(-?[0-9.]+) ([^" ]+(?: m)?)"')  # a number and its unit, in quotes
KEY = re.compile(r"^([a-z_]+) = ")
HEADER = re.compile(r"^\[+([A-Za-z0-9.-]+)\]+$")
MAY_BE_NEGATIVE = ("altitude", "air_temperature", "rise", "skew", "hottest")
REQUIRED = ("pressure", "flow", "temperature", "top_speed", "returns_to", "bore", "release", "full_scale", "volume")


def quantities(lines):
    """Every written quantity: the index of its line, and its match."""
    for index, line in enumerate(lines):
        bare = line.split("#")[0]
        for found in QUANTITY.finditer(bare):
            yield index, found


def keys(lines):
    """Every key at the start of a line: the index of its line, and the key."""
    for index, line in enumerate(lines):
        found = KEY.match(line)
        if found:
            yield index, found[1]


def in_line(lines, index, old, new):
    made = list(lines)
    made[index] = made[index].replace(old, new, 1)
    return "\n".join(made)


def damages(lines):
    """Every damage we know: its kind, the file with it, the number of its line, and the code it is refused with."""
    for index, found in quantities(lines):
        whole, number, unit = found[0], found[1], found[2]
        key = re.findall(r"([a-z_]+) = ", lines[index][: found.start()])

        def put(text, index=index, whole=whole):
            return in_line(lines, index, whole, text)

        yield "no unit", put(f'"{number}"'), index, "missing_unit"
        yield "bare", put(number), index, "bare_number"
        yield "comma", put(f'"{number.replace(".", "")},5 {unit}"'), index, "decimal_comma"
        yield "nan", put(f'"nan {unit}"'), index, "not_a_number"
        yield "unit misspelt", put(f'"{number} {unit}q"'), index, "unknown_unit"
        yield (
            "another kind",
            put(f'"{number} {"kg" if unit != "lb" else "bar"}"'),
            index,
            ("other_kind" if unit not in ("kg", "lb") or unit == "lb" else "out_of_range"),
        )
        yield "a list", put(f"[{whole}]"), index, "wrong_type"
        if not key or key[-1] not in MAY_BE_NEGATIVE:
            yield "negative", put(f'"-{number} {unit}"'), index, "out_of_range"
    for index, key in keys(lines):
        yield "key misspelt", in_line(lines, index, key, key[0] + "q" + key[1:]), index, "unknown_key"
        yield "no equals sign", in_line(lines, index, " = ", " "), index, "bad_toml"
        yield "written twice", "\n".join([*lines[:index], f"{key} = 1", *lines[index:]]), index + 1, "bad_toml"
        if lines[index].endswith('"'):
            yield "open text", "\n".join([*lines[:index], lines[index][:-1], *lines[index + 1 :]]), index, "bad_toml"
        if lines[index].rstrip().endswith(("]", "}")):
            cut = lines[index].rstrip()[:-1]
            yield "open bracket", "\n".join([*lines[:index], cut, *lines[index + 1 :]]), index, "bad_toml"
        if key in REQUIRED and HEADER.match(lines[index - 1].split("#")[0].strip()):
            yield "key gone", "\n".join([*lines[:index], *lines[index + 1 :]]), index - 1, "missing_key"
    for index, line in enumerate(lines):
        header = HEADER.match(line)
        if header and header[1].count(".") == 1 and header[1].startswith("unit") and "kits" not in header[1]:
            yield "table misspelt", in_line(lines, index, header[1][-2:], "q" + header[1][-2:]), index, "unknown_key"
        for name in re.findall(r'(?:tool|tip|kit) = "([^"]+)"|"(M[0-9-]+)"', line):
            name = "".join(name)
            yield "name misspelt", in_line(lines, index, f'"{name}"', f'"{name}q"'), index, "unknown_name"
        for flag in re.findall(r"= (true|false)$", line):
            yield "yes as a word", in_line(lines, index, flag, f'"{flag}"'), index, "wrong_type"
        for number in re.findall(r"^(?:count|plungers) = ([0-9]+)", line):
            yield "count as a text", in_line(lines, index, f"= {number}", f'= "{number}"'), index, "wrong_type"
            yield "count as yes", in_line(lines, index, f"= {number}", "= true"), index, "wrong_type"
        for word in re.findall(r'^(?:kind|inlet|release|held_by|returns_to|support) = "([^"]+)"', line):
            yield "word misspelt", in_line(lines, index, f'"{word}"', f'"{word}q"'), index, "not_one_of"
        for date in re.findall(r"= ([0-9]{4}-[0-9]{2}-[0-9]{2})$", line):
            yield "date as a text", in_line(lines, index, date, f'"{date}"'), index, "wrong_type"


def test_the_line_named_is_the_line_damaged(reference, problems_of):
    every = list(damages(reference.split("\n")))
    assert len(every) > 2 * COUNT
    random.Random(20260301).shuffle(every)
    one_of_each = list({damage[0]: damage for damage in every}.values())
    chosen = one_of_each + every[: COUNT - len(one_of_each)]
    assert len(chosen) == COUNT
    wrong = []
    for kind, text, index, code in chosen:
        found = [(problem.line, problem.code) for problem in problems_of(text)]
        if found != [(index + 1, code)]:
            wrong.append((kind, text.split("\n")[index], index + 1, code, found))
    assert wrong == []
