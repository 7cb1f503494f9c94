"""A small yard for the tests: a unit with its gauge and relief valve, hoses, a tip, a gun."""

from jetwright.web.yard.models import Piece

UNIT = {
    "shows": ["pump speed"],
    "drive": {"kind": "hydrostatic", "top_ratio": 0.28},
    "pump": {"flow_per_turn": "0.25 L", "start_speed": "110 rpm", "top_speed": "460 rpm", "rating": "1000 bar"},
    "bypass": {"kind": "hand-set", "full_open_area": "24 mm2", "returns_to": "tank"},
    "engine": {"power": [["1400 rpm", "185 kW"], ["2000 rpm", "252 kW"]]},
}
HOSE = {"bore": "8 mm", "length": "20 m", "rating": "1400 bar", "tested": "2026-02-24", "count": 6}
GUN = {
    "kind": "hand lance",
    "bore": "6 mm",
    "release": "dump",
    "dump": {"bore": "6 mm", "cd": 0.7},
    "ports": [{"tip": "L11", "count": 1, "angle": "0 deg"}],
}


def stock(crew) -> dict[str, Piece]:
    """The pieces of a crew by name."""
    unit = Piece.objects.create(crew=crew, kind="unit", name="Heron 2", spec=UNIT, serial="H-204")
    made = [
        unit,
        Piece.objects.create(crew=crew, kind="gauge", name="Gauge 7", on=unit, spec={"full_scale": "1600 bar"}),
        Piece.objects.create(
            crew=crew, kind="relief", name="RV 3", on=unit, spec={"set": "1040 bar", "tested": "2026-01-19"}
        ),
        Piece.objects.create(crew=crew, kind="hose", name="S8-20", spec=HOSE),
        Piece.objects.create(crew=crew, kind="fitting", name="reducer", spec={"bore": "8 mm", "loss_k": 0.6}),
        Piece.objects.create(crew=crew, kind="tip", name="L11", spec={"bore": "1.1 mm", "inlet": "rounded"}),
        Piece.objects.create(crew=crew, kind="tool", name="gun", spec=GUN),
    ]
    return {piece.name: piece for piece in made}
