"""Checks of jetwright.limits.hazard and cleaned: the permit and the client decide."""

import pytest

from jetwright.limits.cleaned import withstands
from jetwright.limits.hazard import hazards

IDS = ("hazard.ignition", "hazard.confined_space", "hazard.live_electrical", "hazard.product")


@pytest.mark.rule("hazard.ignition")
@pytest.mark.rule("hazard.confined_space")
@pytest.mark.rule("hazard.live_electrical")
@pytest.mark.rule("hazard.product")
@pytest.mark.parametrize("place", range(4))
@pytest.mark.parametrize(("present", "verdict"), [(True, "not_allowed"), (False, "within"), (None, "not_judged")])
def test_what_is_present_and_not_cleared_blocks_the_job(place, present, verdict):
    """The permit to work decides, hazard by hazard."""
    told = [False] * 4
    told[place] = present
    limits = hazards(*told)
    assert tuple(limit.id for limit in limits) == IDS
    assert [limit.verdict for limit in limits] == [verdict if at == place else "within" for at in range(4)]
    missing = IDS[place].replace("hazard", "task.hazards") if present is None else ""
    assert (limits[place].missing, limits[place].source) == (missing, "permit")


@pytest.mark.rule("object.withstands")
@pytest.mark.parametrize(("nozzle", "verdict"), [(899e5, "within"), (900e5, "within"), (901e5, "not_allowed")])
def test_an_object_against_what_the_client_says(nozzle, verdict):
    limit = withstands(nozzle, 900e5, "client", "", {"what": "steel"})
    assert (limit.verdict, limit.source) == (verdict, "client")


@pytest.mark.rule("object.withstands")
@pytest.mark.parametrize(
    ("nozzle", "verdict", "missing"), [(900e5, "within", ""), (901e5, "look", "task.object.source")]
)
def test_what_nobody_stands_for_is_hearsay(nozzle, verdict, missing):
    """Our own convention: hearsay makes "look", never more."""
    limit = withstands(nozzle, 900e5, "", "task.object.source", {})
    assert (limit.verdict, limit.missing, limit.source, limit.verified) == (verdict, missing, "hearsay", False)
    assert limit.remedy == ("object.withstands/hearsay" if missing else "")


@pytest.mark.rule("object.withstands")
def test_an_object_nobody_knows_is_tried_on_a_patch():
    """Common practice: a trial patch first."""
    limit = withstands(900e5, None, "", "task.object", {})
    assert (limit.verdict, limit.missing, limit.remedy) == ("look", "task.object", "object.withstands/trial")
