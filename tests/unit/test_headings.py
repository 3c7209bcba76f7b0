"""A heading that says least or cheapest is true of the table under it, and every output names the same winner."""

import random
import re
from datetime import date

import pytest

from advisor.case.file import case_from, read_case
from advisor.comparison import compare
from advisor.core import paths
from advisor.core.kinds import Fuel
from advisor.recommendation.kinds import is_eligible
from advisor.report import winners
from advisor.report.as_json import comparison_dict, money_dict
from advisor.report.conclusion_text import advice_sentences
from advisor.report.money_text import money_text
from advisor.report.text import comparison_text

TODAY = date(2026, 11, 28)
DEMOS = sorted(path.stem for path in paths.CASES.glob("*.toml"))
CITIES = (
    "Duluth, MN",
    "Fairbanks, AK",
    "Miami, FL",
    "Phoenix, AZ",
    "Chicago, IL",
    "Seattle, WA",
    "Denver, CO",
    "Houston, TX",
    "Boston, MA",
    "Sacramento, CA",
    "Atlanta, GA",
    "Honolulu, HI",
)


def random_house(number):
    """A house like none of the demos; the same each time."""
    dice = random.Random(number)
    fuel = dice.choice(("natural_gas", "natural_gas", "propane", "heating_oil", "electricity"))
    kind = dice.choice(("tank", "tank", "tank", "tankless" if fuel != "heating_oil" else "tank", "tank"))
    if fuel == "electricity" and dice.random() < 0.2:
        kind = "heat_pump"
    failed = {"fuel": fuel, "kind": kind}
    if kind != "tankless":
        failed["size_gal"] = dice.choice((30, 40, 40, 50, 50, 75))
    burned = [] if fuel == "electricity" else [fuel]
    if not burned and dice.random() < 0.3:
        burned = ["natural_gas"]
    house = {"fuels": [*burned, "electricity"]}
    if dice.random() < 0.7:
        house["heater_space"] = dice.choice(("basement", "garage", "attic", "closet", "indoors"))
    values = {
        "place": {"city": dice.choice(CITIES)},
        "household": {"people": dice.randint(1, 7)},
        "failed": failed,
        "house": house,
    }
    if dice.random() < 0.3:
        values["prices"] = {"electricity_usd_per_kwh": dice.choice((0.08, 0.14, 0.30, 0.45))}
    if dice.random() < 0.2:
        values["electrical"] = {"has_240_v_circuit": dice.random() < 0.5}
    return case_from(values)


def contradictions(comparison):
    """Every sentence, heading or record that names another winner than its own table, or than the advice."""
    found = []
    advice = comparison.advice
    eligible = [one for one in comparison.candidates if is_eligible(one)]
    if not eligible:
        return [] if advice.pick is None else ["a pick, but nobody may be put in"]
    least = min(one.money.point_usd for one in eligible)
    if advice.cheapest_to_own.money.point_usd != least:
        found.append("cheapest to own")
    first = advice_sentences(advice)[0]
    if ("nothing else that works here costs less" in first) != (advice.pick.money.point_usd == least):
        found.append(f"first sentence: {first}")
    wins = re.search(r"(?:about|is about) \$([\d,]+) less (?:than the same again|over)", first)
    if wins and int(wins[1].replace(",", "")) < 0:
        found.append(f"less than nothing: {first}")
    # The chart of costs: its heading names the first, which must be the least of all that may be put in.
    ranked = winners.over_the_years(comparison)
    if ranked[0] is not advice.cheapest_to_own or ranked != sorted(ranked, key=lambda one: one.money.point_usd):
        found.append("chart of costs")
    if advice.pick not in ranked:
        found.append("the pick is not in the chart of costs")
    # The chart of chances: its heading names the likeliest kind, and the shares are all of it.
    chances = winners.chances(comparison)
    if chances[0][1] != max(share for _, share in chances) or abs(sum(share for _, share in chances) - 1) > 1e-9:
        found.append("chart of chances")
    told = re.search(r"in about (\d+) of 10 versions", first)
    if told and round(10 * next(share for one, share in chances if one is advice.pick)) != int(told[1]):
        found.append("the chance told is not the chart's")
    # The map: today's cell is the cheapest to own.
    fuel = next((one for one in Fuel.all() if one.is_burned and one in comparison.case.house.fuels), None)
    if fuel is not None:
        drawn = winners.map_of_prices(comparison, fuel)
        row, column = drawn.here
        if comparison.candidate(drawn.cheapest_id[row][column]).money.point_usd != least:
            found.append("map of prices")
    return found


def assert_outputs_agree(comparison):
    """Text, JSON and the account name the same four places and the same sentences."""
    advice = comparison.advice
    data, account = comparison_dict(comparison), money_dict(comparison)
    ids = {
        name: None if one is None else one.heater.id
        for name, one in (
            ("pick", advice.pick),
            ("same_again", advice.same_again),
            ("cheapest_to_own", advice.cheapest_to_own),
            ("soonest", advice.soonest),
        )
    }
    assert {name: data["advice"][name] for name in ids} == ids
    assert data["recommended"] == account["recommended"] == ids["pick"] and data["like_for_like"] == ids["same_again"]
    assert data["advice"] == account["advice"] and data["advice"]["sentences"] == advice_sentences(advice)
    for text in (comparison_text(comparison), money_text(comparison)):
        flat = " ".join(text.split())
        assert all(" ".join(sentence.split()) in flat for sentence in advice_sentences(advice))


@pytest.mark.parametrize("name", DEMOS)
def test_every_demo_says_one_thing(name):
    comparison = compare(read_case(paths.CASES / f"{name}.toml"), today=TODAY)
    assert not contradictions(comparison)
    assert_outputs_agree(comparison)


@pytest.mark.parametrize("number", range(10))
def test_ten_random_houses_say_one_thing_each(number):
    """A hundred in all."""
    for one in range(10 * number, 10 * number + 10):
        comparison = compare(random_house(one), today=TODAY)
        assert not contradictions(comparison), one
        if one % 10 == 0:
            assert_outputs_agree(comparison)
