"""Checks of jetwright.web.measured, and of pages whose reader measures otherwise than who typed."""

import pytest

from jetwright.rig.description import Hose
from jetwright.web.described import fields_for
from jetwright.web.jobs.demo import put_in_demo
from jetwright.web.jobs.models import Task
from jetwright.web.measured import as_bound, as_example, in_both, measuring
from jetwright.web.yard.models import Piece
from tests.web.crew import CrewTestCase
from tests.web.seen import words_on


@pytest.mark.parametrize(
    ("typed", "kind", "key", "si", "us"),
    [  # NIST SP 811: 1 bar = 14.5038 psi, 1 in = 25.4 mm
        ("950 bar", "pressure", "rating", "950 bar", "950 bar (13770 psi)"),  # 13 778.6, never said higher
        ("950 bar", "pressure", "set", "950 bar", "950 bar (13780 psi)"),
        ("14500 psi", "pressure", "rating", "14500 psi (999 bar)", "14500 psi"),
        ("20 ksi", "pressure", "", "20 ksi (1379 bar)", "20 ksi"),
        ("8 mm", "length", "", "8 mm", "8 mm (0.315 in)"),
        ("60 ft", "length", "", "60 ft (18.3 m)", "60 ft"),
        ("24 mm2", "area", "", "24 mm²", "24 mm² (0.0372 in²)"),
        ("18 degC", "temperature", "", "18 °C", "18 °C (64 °F)"),
        ("3 K", "temperature_difference", "", "3 K", "3 K"),
        ("25 um", "length", "", "25 µm", "25 µm"),
        ("18 L/min at 900 bar", "flow_at", "", "18 L/min at 900 bar", "18 L/min at 900 bar (4.76 gpm at 13050 psi)"),
        ("110 rpm", "speed", "", "110 rpm", "110 rpm"),
        ("as on the plate", "pressure", "", "as on the plate", "as on the plate"),
    ],
)
def test_what_was_typed_stays_with_the_readers_unit_beside_it(typed, kind, key, si, us):
    for system, told in (("si", si), ("us", us)):
        with measuring(system):
            assert in_both(typed, kind, key) == told


def test_a_hint_is_in_the_readers_units_and_round():
    for system, hint in (("si", "As in “1400 bar”."), ("us", "As in “20000 psi”.")):
        with measuring(system):
            assert hint in fields_for(Hose, {})["rating"].help_text
    with measuring("us"):
        assert [as_example(*one) for one in (("950 bar", "pressure"), ("3 K", "temperature_difference"))] == [
            "14000 psi",
            "3 K",
        ]


def test_a_bound_in_another_unit_lies_on_its_safe_side():
    with measuring("us"):  # 19.685 in and 73.15 psi
        assert as_bound("499.99 mm", "length", most=True) == "19.6 in"
        assert as_bound("5 bar", "pressure", most=False) == "73 psi"


class InPsiTest(CrewTestCase):
    """The demo shift is typed in bar; Ada reads psi."""

    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        put_in_demo(cls.crew)
        cls.ada.units = "us"
        cls.ada.save()

    def test_the_yard_and_its_labels_say_both(self):
        for address in ("/yard/", "/yard/labels/"):
            self.assertIn("20 m (65.6 ft) · 1400 bar (20300 psi)", words_on(self.as_(self.ada).get(address)))
        self.assertIn("20 m · 1400 bar tested", words_on(self.as_(self.olu).get("/yard/")))

    def test_what_is_typed_in_bar_is_hinted_in_psi(self):
        hose = Piece.objects.get(crew=self.crew, name="S8-20")
        page = self.as_(self.ada).get(f"/yard/{hose.pk}/change/")
        self.assertContains(page, 'value="1400 bar"')
        self.assertIn("As in “20000 psi”.", words_on(page))

    def test_a_stepper_opens_as_it_was_typed_with_psi_beside_it(self):
        task = Task.objects.get(job__crew=self.crew, name__startswith="Noon")
        page = self.as_(self.ada).get(f"/jobs/{task.job_id}/tasks/{task.pk}/plan/")
        self.assertContains(page, 'value="800 bar"')
        self.assertIn("800 bar = 11 600 psi", words_on(page))
