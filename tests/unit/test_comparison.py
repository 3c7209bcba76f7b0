"""The main job on whole houses: sums that close, quotes, own heaters, pairs, and a conclusion."""

import copy
import json
import re
from datetime import date

import numpy as np
import pytest

from advisor.case.file import case_from, case_schema, read_case
from advisor.comparison import compare
from advisor.core import paths, tables
from advisor.core.errors import InputError
from advisor.core.kinds import electricity, piped_gas
from advisor.core.units import BTU_PER_KWH
from advisor.core.verdicts import DOES_NOT_FIT
from advisor.heaters.catalogue import catalogue
from advisor.house.cautions import always
from advisor.house.readings import readings_for
from advisor.report.as_json import comparison_dict
from advisor.report.conclusion_text import conclusion_text
from advisor.report.readings_text import readings_text
from advisor.report.shortlist import shortlist
from advisor.report.text import comparison_text
from tests.houses import case_of, said

TODAY = date(2026, 11, 25)
DEMOS = sorted(path.stem for path in paths.CASES.glob("*.toml"))
FOUR = {
    "place": {"zip_code": "55811"},
    "household": {"people": 4},
    "failed": {"fuel": "natural_gas", "size_gal": 50},
    "house": {"fuels": ["natural_gas"]},
}
OWN = {
    "title": "The one in the flyer",
    "technology": "gas_tankless_condensing",
    "fuel": "natural_gas",
    "uef": 0.93,
    "max_gpm": 5.5,
    "input_btuh": 180_000,
}
#: Words that would promise what nobody here can promise.
FORBIDDEN = re.compile(r"\b(safe|safely|unsafe|safest|approved?|approves|guaranteed?|guarantees|best)\b", re.I)


@pytest.fixture(scope="module")
def demos():
    return {name: compare(read_case(paths.CASES / f"{name}.toml"), today=TODAY) for name in DEMOS}


@pytest.fixture(scope="module")
def plain():
    return compared()


def compared(**sections):
    values = copy.deepcopy(FOUR)
    for name, section in sections.items():
        values[name] = values.get(name, {}) | section if isinstance(section, dict) else section
    return compare(case_from(values), today=TODAY)


every_demo = pytest.mark.parametrize("name", DEMOS)


@every_demo
def test_months_add_up_to_the_year(demos, name):
    comparison = demos[name]
    prices = comparison.prices
    for candidate in comparison.candidates:
        cost, energy, fuel = candidate.running_cost, candidate.in_homes, candidate.heater.fuel
        assert cost.by_month_usd.shape == (12,)
        assert cost.usd_per_yr == pytest.approx(cost.by_month_usd.sum())
        # By hand: units of the bill times the price, the room's part and any fixed charge.
        use = cost.use_per_yr
        usd = use["kwh_per_yr"] * prices.usd_per_unit[electricity()]
        assert use["kwh_per_yr"] == pytest.approx(energy.electricity_kwh.sum())
        if fuel.is_burned:
            key = {"natural_gas": "therm_per_yr", "propane": "propane_gal_per_yr", "heating_oil": "oil_gal_per_yr"}[
                fuel.id
            ]
            usd += use[key] * prices.usd_per_unit[fuel]
            assert use[key] * prices.btu_per_unit[fuel] == pytest.approx(energy.fuel_btu.sum())
        assert cost.usd_per_yr == pytest.approx(usd + cost.room_usd_per_yr + cost.fixed_usd_per_yr)


@every_demo
def test_no_heater_gives_more_than_it_takes(demos, name):
    """Fuel and elements deliver at most what is bought; a heat pump, with heat of the air, no more than fivefold."""
    for candidate in demos[name].candidates:
        energy = candidate.energy
        bought = np.sum(energy.fuel_btu + energy.electricity_kwh * BTU_PER_KWH)
        assert np.sum(energy.heat_btu) < (5 if candidate.heater.is_heat_pump else 1) * bought


@every_demo
def test_installed_prices_are_the_sum_of_the_jobs(demos, name):
    for candidate in demos[name].candidates:
        jobs = (candidate.house.base, *candidate.house.work)
        if candidate.quote_usd is not None:
            assert candidate.installed_usd == (candidate.quote_usd,) * 3
            continue
        sums = [sum(ends) for ends in zip(*(job.counted_usd for job in jobs), strict=True)]
        low, typical, high = candidate.installed_usd
        assert typical == pytest.approx(sums[1], abs=0.02)
        # The lows of all jobs do not come together, nor the highs.
        assert sums[0] <= low + 0.05 and low <= typical <= high and high <= sums[2] + 0.05


@every_demo
def test_the_conclusion_names_the_pick_and_its_figures(demos, name):
    comparison = demos[name]
    text = conclusion_text(comparison.advice)
    assert text.endswith(".")
    assert text.count("$") >= 2
    recommended = comparison.candidate(comparison.recommended_id)
    assert recommended.heater.title.lower() in text.lower()
    assert f"{comparison.money.terms.study_yr} years" in text
    assert "$0 " not in text and "$-" not in text


@every_demo
def test_what_is_recommended_keeps_up_fits_and_may_be_made(demos, name):
    comparison = demos[name]
    chosen = comparison.candidate(comparison.recommended_id)
    assert chosen.capacity.verdict != "falls short"
    assert chosen.house.verdict != DOES_NOT_FIT
    assert not chosen.flags
    assert not chosen.heater.sale_note


@every_demo
def test_the_plain_replacement_stood_there_before(demos, name):
    """What failed ran on this gas line, flue and circuit: its like cannot be impossible."""
    comparison = demos[name]
    same = comparison.candidate(comparison.like_for_like_id)
    assert same.heater.fuel == comparison.case.failed.fuel
    assert same.house.verdict != DOES_NOT_FIT, same.house.why


@every_demo
def test_no_output_promises_what_nobody_can(demos, name):
    comparison = demos[name]
    texts = [comparison_text(comparison, si=si, show_all=True) for si in (False, True)]
    texts.append(str(comparison_dict(comparison) | {"sources": None}))
    for candidate in comparison.candidates:
        texts.append(
            readings_text(
                candidate.heater.title,
                readings_for(candidate.heater, comparison.facts, comparison.circumstances, candidate.use),
            )
        )
    for text in texts:
        found = [text[max(match.start() - 40, 0) : match.end() + 20] for match in FORBIDDEN.finditer(text)]
        assert not found


@every_demo
def test_every_assumption_can_be_changed(demos, name):
    """Each names a key of the case, and says why."""
    known = set(re.findall(r"\w+", json.dumps(case_schema())))
    for item in demos[name].assumed:
        keys = [key for key in item.field.split(".") if not key.isdigit()]
        assert set(keys) <= known, item.field
        assert item.reason


@every_demo
def test_cautions_are_said_once(demos, name):
    cautions = [said(one) for one in (*demos[name].cautions, *always())]
    assert len(cautions) == len(set(cautions)) >= 8
    assert all(caution.strip().endswith(".") for caution in cautions)
    text = " ".join(cautions)
    for word in ("Smell gas", "permit", "licensed", "instructions"):
        assert word in text


def test_only_fuels_of_the_house_are_compared(demos):
    for comparison in demos.values():
        allowed = set(comparison.case.house.fuels) | {electricity()}
        assert {candidate.heater.fuel for candidate in comparison.candidates} == allowed


def test_a_quote_replaces_the_price(plain):
    quoted = compared(offers=[{"candidate": "gas-tankless-199", "total_usd": 3210.5}])
    candidate = quoted.candidate("gas-tankless-199")
    assert candidate.installed_usd == (3210.5, 3210.5, 3210.5)
    assert plain.candidate("gas-tankless-199").installed_usd != candidate.installed_usd
    assert candidate.house.installed_usd == plain.candidate("gas-tankless-199").house.installed_usd
    others = [item.heater.id for item in plain.candidates if item.heater.id != "gas-tankless-199"]
    assert [quoted.candidate(name).installed_usd for name in others] == [
        plain.candidate(name).installed_usd for name in others
    ]
    shown = {item["id"]: item for item in comparison_dict(quoted)["candidates"]}
    assert shown["gas-tankless-199"]["is_quoted"] and not shown["gas-tank-50"]["is_quoted"]
    assert "3,210" in comparison_text(quoted, show_all=True)


def test_a_low_quote_can_change_the_answer(plain):
    assert plain.recommended_id == "gas-tank-50"
    bargain = compared(offers=[{"candidate": "heat-pump-65", "total_usd": 500}])
    assert bargain.recommended_id == "heat-pump-65"
    # A price that somebody offered is shown to the cent.
    assert "$500.00 to install" in conclusion_text(bargain.advice)
    assert bargain.money.baseline_id == "gas-tank-50"


def test_a_quote_for_nothing_that_is_compared_is_refused():
    with pytest.raises(InputError, match="write 'heat-pump-80' if that is meant"):
        compared(offers=[{"candidate": "heat-pmp-80", "total_usd": 500}])
    with pytest.raises(InputError, match=r"offers\.2\.candidate"):
        compared(offers=[{"candidate": "gas-tank-50", "total_usd": 1}, {"candidate": "oil-tank-32", "total_usd": 1}])


def test_an_own_heater_is_compared_with_its_own_quote():
    found = compared(heaters=[OWN | {"installed_usd": 4100}, OWN | {"title": "Another", "uef": 0.96}])
    own, other = found.candidate("own-1"), found.candidate("own-2")
    assert own.heater.title == "The one in the flyer"
    assert own.installed_usd == (4100, 4100, 4100)
    assert other.quote_usd is None and other.installed_usd[0] < other.installed_usd[2]
    assert other.running_cost.usd_per_yr < own.running_cost.usd_per_yr
    assert own.heater.source == "your own entry"
    assert {"own-1", "own-2"} <= {item.heater.id for item in shortlist(found)}
    assert "The one in the flyer" in comparison_text(found)


def test_an_own_heater_like_one_of_the_catalogue_is_judged_like_it(plain):
    same = next(heater for heater in catalogue() if heater.id == "gas-tankless-condensing-180")
    label = {
        name: getattr(same, name)
        for name in (
            "title",
            "technology",
            "fuel",
            "uef",
            "max_gpm",
            "input_btuh",
            "min_input_btuh",
            "recovery_frac",
            "activation_gpm",
        )
    }
    found = compared(heaters=[label])
    own, listed = found.candidate("own-1"), plain.candidate(same.id)
    assert own.running_cost.usd_per_yr == pytest.approx(listed.running_cost.usd_per_yr)
    assert own.capacity == listed.capacity
    assert [job.job for job in own.house.work] == [job.job for job in listed.house.work]


@pytest.mark.parametrize(
    ("failed", "house", "expected"),
    [
        ({}, {}, "gas-tank-50"),
        ({"size_gal": 38}, {}, "gas-tank-40"),
        ({"size_gal": 120}, {}, "gas-tank-75"),
        ({"fuel": "propane"}, {"fuels": ["propane"]}, "propane-tank-50"),
        ({"fuel": "heating_oil", "size_gal": 32}, {"fuels": ["heating_oil"]}, "oil-tank-32"),
        ({"fuel": "electricity", "size_gal": 50}, {"fuels": ["electricity"]}, "electric-tank-50"),
        ({"fuel": "electricity", "size_gal": 65, "kind": "heat_pump"}, {"fuels": ["electricity"]}, "heat-pump-65"),
    ],
)
def test_like_for_like(failed, house, expected):
    found = compared(failed=failed, house=house)
    assert found.like_for_like_id == expected
    assert expected in {item.heater.id for item in shortlist(found)}
    assert comparison_dict(found)["like_for_like"] == expected


def test_pairs_appear_for_the_big_house_and_not_for_the_small(demos):
    big, small = demos["big-house-soaking-tub"], demos["warm-city-small-household"]
    pairs = [candidate for candidate in big.candidates if candidate.heater.n_units > 1]
    assert pairs
    assert not [candidate for candidate in small.candidates if candidate.heater.n_units > 1]
    for pair in pairs:
        one = big.candidate(pair.heater.id.rpartition("-x")[0])
        assert one.capacity.verdict == "falls short"
        assert pair.capacity.verdict != "falls short"
        assert pair.capacity.deliverable == pytest.approx(pair.heater.n_units * one.capacity.deliverable)
        assert pair.house.base.typical_usd == pytest.approx(pair.heater.n_units * one.house.base.typical_usd)
        assert pair.heater.title.startswith(f"{pair.heater.n_units} in parallel: ")
        if pair.heater.is_storage and not pair.heater.is_heat_pump:
            assert pair.running_cost.usd_per_yr > one.running_cost.usd_per_yr  # two tanks lose twice


def test_ids_are_unique_and_the_shortlist_has_one_of_each_kind(demos):
    for comparison in demos.values():
        ids = [candidate.heater.id for candidate in comparison.candidates]
        assert len(ids) == len(set(ids))
        shown = shortlist(comparison)
        kinds = {(candidate.heater.technology, candidate.heater.fuel) for candidate in comparison.candidates}
        assert {(item.heater.technology, item.heater.fuel) for item in shown} == kinds
        assert [item.heater.id for item in shown] == [
            name for name in ids if name in {item.heater.id for item in shown}
        ]
        # One of each kind, and whatever one of the four places names besides.
        assert len(shown) <= len(kinds) + 4


def test_where_the_heater_stands_is_assumed_from_the_climate():
    cold, warm = compared(), compared(place={"zip_code": "33101"})
    assert (cold.site.heater_space, warm.site.heater_space) == ("basement", "garage")
    assert "house.heater_space" in [item.field for item in cold.assumed]
    told = compared(house={"heater_space": "closet"})
    assert told.site.heater_space == "closet"
    assert "house.heater_space" not in [item.field for item in told.assumed]


def test_own_prices_replace_the_state_s(plain):
    found = compared(prices={"natural_gas_usd_per_therm": 2.5})
    assert found.prices.usd_per_unit[piped_gas()] == 2.5
    assert found.prices.usd_per_unit[electricity()] == plain.prices.usd_per_unit[electricity()]
    ratio = (
        found.candidate("gas-tank-50").running_cost.usd_per_yr / plain.candidate("gas-tank-50").running_cost.usd_per_yr
    )
    assert ratio == pytest.approx(2.5 / plain.prices.usd_per_unit[piped_gas()])
    fields = [item.field for item in found.assumed]
    assert "prices.natural_gas_usd_per_therm" not in fields
    assert "prices.electricity_usd_per_kwh" in fields


def test_measured_water_replaces_the_estimate(plain):
    found = compared(water={"measured_cold_f": 45.0}, household={"hot_water_gpd": 30.0})
    assert found.site.mains.coldest_f == pytest.approx(45.0)
    assert found.circumstances.demand.annual_gal == pytest.approx(30 * 365)
    fields = [item.field for item in found.assumed]
    assert not {"water.measured_cold_f", "household.hot_water_gpd"} & set(fields)
    assert {"water.measured_cold_f", "household.hot_water_gpd"} <= {item.field for item in plain.assumed}


def test_a_set_point_below_the_cold_water_is_refused():
    with pytest.raises(InputError, match=r"^household\.set_point_f = 91"):
        compared(household={"set_point_f": 91}, water={"measured_cold_f": 92})


def test_the_day_of_installation_decides_what_may_be_made():
    """From 6 May 2029 an electric tank of 35 gal and more has to be a heat pump (10 CFR 430.32(d))."""
    before = compare(case_from(FOUR | {"install_date": "2028-06-01"}), today=TODAY)
    after = compare(case_from(FOUR | {"install_date": "2029-06-01"}), today=TODAY)
    assert not before.candidate("electric-tank-50").flags
    assert after.candidate("electric-tank-50").flags


def test_where_nothing_can_stand_it_is_said_plainly():
    found = compared(house={"room_height_in": 20})  # the lowest heater is 18 in. tall and needs 6 in. more
    assert {candidate.house.verdict for candidate in found.candidates} == {DOES_NOT_FIT}
    assert found.recommended_id is None
    assert conclusion_text(found.advice).startswith("None of these heaters")
    assert "licensed contractor" in comparison_text(found)
    assert comparison_dict(found)["recommended"] is None


def test_a_comparison_is_the_same_twice(plain):
    again = compared()
    assert comparison_dict(again) == comparison_dict(plain)


def test_sources_are_the_tables():
    assert [source["id"] for source in tables.sources_used()] == tables.names()


def test_in_a_territory_the_prices_that_are_missing_are_asked_for_in_one_sentence():
    """Air and water are known there; no average price is held."""
    home = {"place__zip_code": "00901", "house__fuels": ["natural_gas"]}
    with pytest.raises(InputError) as caught:
        compare(case_of(**home), today=date(2026, 11, 28), by_hand=True)
    assert "no energy prices are held for Puerto Rico" in caught.value.reason
    assert "prices.electricity_usd_per_kwh" in caught.value.fix
    assert "prices.natural_gas_usd_per_therm" in caught.value.fix
    own = {"prices__electricity_usd_per_kwh": 0.26, "prices__natural_gas_usd_per_therm": 3.5}
    found = compare(case_of(**home, **own), today=date(2026, 11, 28), by_hand=True)
    assert found.site.mains.coldest_f > 75
    assert found.prices.usd_per_unit[electricity()] == 0.26
    assert not [item for item in found.assumed if item.field.startswith("prices.")]
