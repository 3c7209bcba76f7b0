"""How soon a candidate could run: the slowest of delivery and of the jobs that cannot wait."""

import pytest

from advisor.case.record import Failed
from advisor.core import tables
from advisor.core.findings import note
from advisor.core.kinds import Fuel
from advisor.heaters.catalogue import catalogue
from advisor.house.lead_time import LeadTime, lead_time_of, stopgaps
from tests.houses import ELECTRIC_HOUSE, check, heater_of, said

LEAD = {row["id"]: row for row in tables.load("jobs").rows()}
DELIVERY = {row["technology"]: row["lead_day"] for row in tables.load("heater_availability").rows()}


def in_words(days):
    return said(LeadTime(days, note("work.held_up.nothing"), ()).when)


def soon(heater_id, **keys):
    return lead_time_of(heater_of(heater_id), check(heater_id, **keys))


@pytest.mark.parametrize(
    ("heater", "keys", "days", "held_up_by"),
    [
        ("gas-tank-50", {}, 0, "nothing"),
        ("electric-tank-50", ELECTRIC_HOUSE, 0, "nothing"),
        ("heat-pump-plug-in-50", {"electrical__has_receptacle": True}, 5, "getting the heater"),
        # The utility takes longest, however quickly the pipe is laid.
        ("gas-tankless-199", {"gas__meter_class": "175"}, 14, "Larger gas meter or regulator, by the utility"),
        ("electric-tankless-27", {"electrical__service_a": 100}, 30, "Service upgrade by the utility with conductors"),
        (
            "heat-pump-50",
            {"vent__is_shared": True, "vent__flue": "masonry"},
            5,
            "Chimney liner sized for what stays on the flue",
        ),
        ("heat-pump-50", {"vent__is_shared": False, "electrical__service_a": 200}, 2, "getting the heater"),
    ],
)
def test_the_slowest_governs(heater, keys, days, held_up_by):
    found = soon(heater, **keys)
    assert (found.days, said(found.held_up_by)) == (days, held_up_by)


@pytest.mark.parametrize("heater", catalogue(), ids=lambda heater: heater.id)
@pytest.mark.parametrize(
    "keys",
    [
        {},
        ELECTRIC_HOUSE,
        {"vent__is_shared": True, "gas__meter_class": "175", "electrical__service_a": 60},
        {"house__heater_space": "attic"},
    ],
    ids=range(4),
)
def test_days_are_the_greatest_of_what_cannot_wait(heater, keys):
    house = check(heater.id, **keys)
    found = lead_time_of(heater, house)
    jobs = [job for job in house.work if not job.job.startswith("permit")]
    needed = [LEAD[job.job]["lead_day"] for job in jobs if not LEAD[job.job]["can_wait"]]
    assert found.days == max([DELIVERY[heater.technology.id], *needed]) >= 0
    assert list(found.can_wait) == [job.what for job in jobs if LEAD[job.job]["can_wait"]]
    assert (said(found.held_up_by) != "nothing") == (found.days > 0)
    assert found.held_up_by not in found.can_wait


@pytest.mark.parametrize(
    ("days", "words"),
    [
        (0, "today"),
        (0.9, "today"),
        (1, "tomorrow"),
        (2, "in about 2 days"),
        (5, "in about 5 days"),
        (6, "in about a week"),
        (10, "in about 2 weeks"),
        (14, "in about 3 weeks"),
        (30, "in about 6 weeks"),
    ],
)
def test_words_for_days(days, words):
    assert in_words(days) == words


def test_words_never_come_sooner_with_more_days():
    order = list(dict.fromkeys(in_words(days / 2) for days in range(200)))
    assert order[:3] == ["today", "tomorrow", "in about 2 days"]
    # Each wording covers one stretch of days: none comes back after another has begun.
    assert len(order) == len({in_words(days / 2) for days in range(200)})
    stretches = [in_words(days / 2) for days in range(200)]
    assert sum(a != b for a, b in zip(stretches, stretches[1:], strict=False)) == len(order) - 1


ROWS = list(tables.load("stopgaps").rows())
FUELS = [fuel.id for fuel in Fuel.all()]


@pytest.mark.parametrize("fuel", FUELS)
@pytest.mark.parametrize("kind", ["tank", "tankless", "heat_pump"])
def test_there_is_something_to_say_for_every_heater_that_can_fail(fuel, kind):
    found = stopgaps(Fuel.named(fuel), kind)
    assert all(said(hint)[0].isupper() and said(hint).endswith(".") for hint in found)
    hints = {row["hint"] for row in ROWS if row["fuel"] in {fuel, "any"} and row["kind"] in {kind, "any"}}
    assert {hint.code for hint in found} == {f"stopgap.{hint}" for hint in hints}
    own = [row for row in ROWS if row["fuel"] == fuel and row["kind"] == kind]
    if kind == "tank" or fuel == "electricity":
        assert own, "a heater of this kind has a hint of its own"
    assert len(found) == len(own) + 1


def test_every_stopgap_is_for_a_heater_that_a_case_can_name():
    kinds = set(Failed.model_fields["kind"].annotation.__args__) | {"any"}
    for row in ROWS:
        assert row["fuel"] in {*FUELS, "any"} and row["kind"] in kinds
