"""Pieces into the tables of a yard file, and the tables of a yard file into pieces."""

from collections.abc import Iterable, Mapping
from typing import Any

from jetwright.web.yard.models import OF_A_UNIT, Piece

GROUPS = {"hose": "hoses", "fitting": "fittings", "tip": "tips", "tool": "tools"}
"""Kind of a piece → the table of a yard file that its row stands in."""


def yard_tables(pieces: Iterable[Piece]) -> dict[str, Any]:
    """The rows of hoses, fittings, tips and tools, by name, as JSON holds them; no unit. [-]"""
    tables: dict[str, Any] = {group: {} for group in GROUPS.values()}
    for piece in pieces:
        if piece.kind in GROUPS:
            tables[GROUPS[piece.kind]][piece.name] = piece.spec
    return tables


def unit_table(unit: Piece, carried: Iterable[Piece]) -> dict[str, Any]:
    """A unit's table with its kits, its gauge and its relief devices in it, as JSON holds it. [-]"""
    table: dict[str, Any] = {"name": unit.name, **unit.spec}
    for piece in carried:
        if piece.kind == "kit":
            table["kits"] = {**table.get("kits", {}), piece.name: piece.spec}
        elif piece.kind == "gauge":
            table["gauge"] = piece.spec
        elif piece.kind == "relief":
            table["relief"] = [*table.get("relief", []), piece.spec]
    return table


def unit_parts(table: Mapping[str, Any]) -> tuple[dict[str, Any], list[tuple[str, str, dict[str, Any]]]]:
    """A unit's table without its kits, gauge and relief devices, and those: kind, name, table. [-]"""
    spec = {key: value for key, value in table.items() if key not in ("name", "kits", "gauge", "relief")}
    name = str(table.get("name", ""))
    carried = [("kit", kit, dict(one)) for kit, one in table.get("kits", {}).items()]
    if "gauge" in table:
        carried.append(("gauge", f"{name} gauge", dict(table["gauge"])))
    reliefs = list(table.get("relief", []))
    for number, one in enumerate(reliefs, 1):
        carried.append(("relief", f"{name} relief" + (f" {number}" if len(reliefs) > 1 else ""), dict(one)))
    assert {kind for kind, _, _ in carried} <= set(OF_A_UNIT)
    return spec, carried
