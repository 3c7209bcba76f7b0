"""The rule and its sentences: what to put in, why, how sure, and what the same again or another kind would do."""

import re
from dataclasses import replace
from datetime import date
from types import SimpleNamespace

import pytest

from advisor.case.file import case_from, read_case
from advisor.comparison import compare
from advisor.core import paths
from advisor.core.findings import stop
from advisor.core.verdicts import DOES_NOT_FIT, FALLS_SHORT, KEEPS_UP, WITH_CARE
from advisor.money.life_cycle import Payback
from advisor.recommendation.against import Against, against
from advisor.recommendation.kinds import EASE_FRAC, family_of, is_eligible, wins_clearly
from advisor.recommendation.rule import advise
from advisor.report import conclusion_text as words
from advisor.report import plain_words
from advisor.report.conclusion_text import advice_sentences, conclusion_text, payback_finding
from tests.houses import said

TODAY = date(2026, 11, 25)
DEMOS = sorted(path.stem for path in paths.CASES.glob("*.toml"))
every_demo = pytest.mark.parametrize("name", DEMOS)


@pytest.fixture(scope="module")
def demos():
    return {name: compare(read_case(paths.CASES / f"{name}.toml"), today=TODAY) for name in DEMOS}


def made_up(like, *, usd, keeps=KEEPS_UP, chance_frac=1.0, margin_frac=0.2, fits=True):
    """A candidate with a cost, a verdict and a chance of our own against anyone."""
    money = SimpleNamespace(point_usd=usd, chance_cheaper_frac=lambda _: chance_frac)
    house = like.house if fits else replace(like.house, verdict=DOES_NOT_FIT)
    capacity = replace(like.capacity, verdict=keeps, margin_frac=margin_frac, short_mornings_per_yr=None)
    return replace(like, money=money, capacity=capacity, house=house, flags=())


def advised(*candidates, same, has_240_v_circuit=False):
    """The pick among made-up candidates."""
    return advise(candidates, same.heater.id, has_240_v_circuit=has_240_v_circuit, usual_gal=0.0).pick


# --- the rule ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("usd", "chance_frac", "keeps", "is_chosen"),
    [
        (9_100, 1.0, KEEPS_UP, False),  # a tenth less is needed
        (8_900, 0.59, KEEPS_UP, False),  # in six versions of ten
        (8_900, 0.61, KEEPS_UP, True),
        (5_000, 1.0, WITH_CARE, False),  # and it must keep up at least as well
    ],
)
def test_what_it_takes_to_leave_a_kind_that_is_in_the_house(demos, usd, chance_frac, keeps, is_chosen):
    """Our own lines, so that they move only on purpose."""
    cold = demos["cold-city-basement"]
    plain = made_up(cold.candidate("gas-tank-50"), usd=10_000)
    other = made_up(cold.candidate("heat-pump-65"), usd=usd, keeps=keeps, chance_frac=chance_frac)
    assert advised(plain, other, same=plain) is (other if is_chosen else plain)


def test_another_kind_that_keeps_up_better_and_costs_any_less_wins(demos):
    cold = demos["cold-city-basement"]
    plain = made_up(cold.candidate("gas-tank-50"), usd=10_000, keeps=WITH_CARE)
    other = made_up(cold.candidate("heat-pump-65"), usd=9_900)
    assert wins_clearly(other, plain)
    assert not wins_clearly(made_up(other, usd=10_100), plain)


def test_among_those_that_need_care_the_one_that_keeps_up_best(demos):
    """Not the cheapest: seven people whose 75 gal tank failed are not offered 40 gal."""
    cold = demos["cold-city-basement"]
    fails = made_up(cold.candidate("gas-tank-75"), usd=9_000, fits=False)
    small = made_up(cold.candidate("gas-tank-40"), usd=6_000, keeps=WITH_CARE, margin_frac=-0.3)
    large = made_up(cold.candidate("gas-tank-50"), usd=7_000, keeps=WITH_CARE, margin_frac=-0.1)
    assert advised(fails, small, large, same=fails) is large


def test_nothing_smaller_than_what_failed_where_as_large_a_one_serves(demos):
    cold = demos["cold-city-basement"]
    failed = made_up(cold.candidate("gas-tank-50"), usd=9_000)
    smaller = made_up(cold.candidate("gas-tank-40"), usd=5_000)
    assert advised(failed, smaller, same=failed) is failed
    # Nor of another kind: a small heat pump that wins is passed over for one as large.
    pumps = [made_up(cold.candidate(name), usd=usd) for name, usd in (("heat-pump-40", 5_000), ("heat-pump-50", 6_000))]
    assert advised(failed, *pumps, same=failed) is pumps[1]
    # Nor smaller than is usual for the people, where what failed was small.
    small = made_up(cold.candidate("gas-tank-30"), usd=9_000)
    found = advise([small, *pumps], small.heater.id, has_240_v_circuit=False, usual_gal=50.0)
    assert found.pick is pumps[1]
    # Where nothing as large may be put in, the smaller one, and that is said.
    barred = made_up(failed, usd=9_000, fits=False)
    found = advise([barred, smaller], failed.heater.id, has_240_v_circuit=False, usual_gal=0.0)
    assert found.pick is smaller and found.is_smaller


@pytest.mark.parametrize(("usd", "is_chosen"), [(6_000, False), (5_100, True)])
def test_a_smaller_one_only_for_much_less_and_where_what_failed_is_out(demos, usd, is_chosen):
    """A 75 gal tank that may no longer be made: 50 gal of a larger burner, unless one as large costs little more."""
    cold = demos["cold-city-basement"]
    failed = made_up(cold.candidate("gas-tank-75"), usd=5_500, fits=False)
    large = made_up(cold.candidate("gas-tank-condensing-75"), usd=6_000)
    smaller = made_up(cold.candidate("gas-tank-50"), usd=usd)
    assert advised(failed, large, smaller, same=failed) is (smaller if is_chosen else large)
    if is_chosen:  # with the larger burner, where it costs little more
        fast = made_up(cold.candidate("gas-tank-50-fastest"), usd=usd + 100, margin_frac=0.5)
        assert advised(failed, large, smaller, fast, same=failed) is fast
    # Never one that keeps up only with care, nor beside what failed itself.
    assert advised(failed, large, made_up(smaller, usd=usd, keeps=WITH_CARE), same=failed) is large
    fits = made_up(cold.candidate("gas-tank-75"), usd=5_500)
    assert advised(fits, large, smaller, same=fits) is fits


@pytest.mark.parametrize(("usd", "is_chosen"), [(11_400, True), (11_600, False)])
def test_what_keeping_up_with_ease_is_worth(demos, usd, is_chosen):
    cold = demos["cold-city-basement"]
    failed = made_up(cold.candidate("gas-tank-50"), usd=10_000, keeps=WITH_CARE)
    larger = made_up(cold.candidate("gas-tank-75"), usd=usd)
    assert EASE_FRAC == 0.15
    assert advised(failed, larger, same=failed) is (larger if is_chosen else failed)


def test_a_plug_in_only_where_no_240_v_circuit_ends(demos):
    flat = demos["all-electric-flat-closet"]
    failed = made_up(flat.candidate("electric-tank-50"), usd=10_000)
    plug_in = made_up(flat.candidate("heat-pump-plug-in-50"), usd=5_000)
    wired = made_up(flat.candidate("heat-pump-50"), usd=6_000)
    assert advised(failed, plug_in, wired, same=failed, has_240_v_circuit=True) is wired
    assert advised(failed, plug_in, wired, same=failed, has_240_v_circuit=False) is plug_in
    # And there only where it wins clearly over one with an element.
    near = made_up(plug_in, usd=5_900)
    assert advised(failed, near, wired, same=failed, has_240_v_circuit=False) is wired
    unsure = made_up(plug_in, usd=5_000, chance_frac=0.55)
    wired_wins = made_up(wired, usd=6_000, chance_frac=0.9)
    assert advised(failed, unsure, wired_wins, same=failed, has_240_v_circuit=False) is wired_wins


def test_one_heater_before_several(demos):
    cold = demos["cold-city-basement"]
    failed = made_up(cold.candidate("gas-tank-50"), usd=9_000, fits=False)
    one = made_up(cold.candidate("gas-tank-75"), usd=9_000)
    pair = made_up(cold.candidate("gas-tank-40"), usd=5_000)
    pair = replace(pair, heater=replace(pair.heater, id="gas-tank-40-x2", n_units=2))
    assert advised(failed, one, pair, same=failed) is one


def test_what_may_not_be_put_in_is_never_named(demos):
    comparison = demos["large-family-short-vent"]
    same, first = comparison.like_for_like_id, comparison.recommended

    def again(changed):
        return advise(changed, same, has_240_v_circuit=False, usual_gal=0.0)

    barred = [
        replace(item, house=replace(item.house, verdict=DOES_NOT_FIT)) if item is first else item
        for item in comparison.candidates
    ]
    found = again(barred)
    for one in (found.pick, found.cheapest_to_own, found.soonest, *found.kinds):
        assert one.heater.id != first.heater.id
    short = again([replace(one, capacity=replace(one.capacity, verdict=FALLS_SHORT)) for one in barred])
    assert (short.pick, short.cheapest_to_own, short.soonest, short.kinds) == (None, None, None, ())
    assert short.same_again.heater.id == same and short.closest is not None
    assert "comes closest to keeping up" in conclusion_text(short)
    none = again([replace(item, flags=(stop("label.below"),)) for item in barred])
    assert none.pick is None and none.closest is None


# --- the four places on whole houses ------------------------------------------------------------


@every_demo
def test_the_four_places_are_what_their_names_say(demos, name):
    comparison = demos[name]
    advice = comparison.advice
    eligible = [one for one in comparison.candidates if is_eligible(one)]
    assert advice.pick in eligible
    assert advice.cheapest_to_own.money.point_usd == min(one.money.point_usd for one in eligible)
    assert advice.soonest.lead_time.days == min(one.lead_time.days for one in eligible)
    assert advice.same_again is None or advice.same_again.heater.id == comparison.like_for_like_id
    # One heater of each kind, and chances that are shared out among them.
    assert len({family_of(one) for one in advice.kinds}) == len(advice.kinds)
    assert {family_of(one) for one in advice.kinds} == {family_of(one) for one in eligible}
    assert advice.pick in advice.kinds
    assert sum(advice.chances_frac.values()) == pytest.approx(1)


@every_demo
def test_a_kind_is_left_only_where_another_wins_clearly(demos, name):
    advice = demos[name].advice
    home = None if advice.same_again is None else family_of(advice.same_again)
    staying = next((one for one in advice.kinds if family_of(one) == home), None)
    if staying is not None and advice.pick is not staying:
        assert wins_clearly(advice.pick, staying)


def test_the_chance_told_is_that_of_the_kind_everywhere(demos):
    for comparison in demos.values():
        advice = comparison.advice
        chance_frac = advice.chances_frac[advice.pick.heater.id]
        others = [one.money for one in advice.kinds if one is not advice.pick]
        assert advice.pick.money.chance_none_cheaper_frac(others) == pytest.approx(chance_frac)
        if 0.05 <= chance_frac < 0.95:
            assert f"in about {round(10 * chance_frac)} of 10 versions" in advice_sentences(advice)[0]


# --- the sentences ------------------------------------------------------------------------------


@every_demo
def test_two_or_three_sentences_with_rounded_figures_and_no_big_words(demos, name):
    advice = demos[name].advice
    told = advice_sentences(advice)
    assert len(told) == 2 + (advice.tankless is not None)
    # The last may say besides that no price of energy would do.
    assert all(len(re.findall(r"\.(?:\s|$)", sentence)) == 1 for sentence in told[:2])
    # Prices of energy in the third are to the cent.
    amounts = re.findall(r"\$(\d[\d,]*\d)", " ".join(told[:2]))
    assert amounts and all(amount.endswith("0") for amount in amounts)
    assert not re.search(r"\b(best|guaranteed|safe|approved|None|nan|inf)\b", " ".join(told))
    assert "$0 " not in told[0] and "$-" not in " ".join(told)


@every_demo
def test_the_first_sentence_says_least_only_of_the_least(demos, name):
    advice = demos[name].advice
    says_least = "nothing else that works here costs less" in advice_sentences(advice)[0]
    assert says_least == (advice.pick is advice.cheapest_to_own)


@every_demo
def test_the_second_sentence_is_against_the_same_again_or_another_kind(demos, name):
    advice = demos[name].advice
    second = advice_sentences(advice)[1]
    if advice.pick is advice.same_again:
        assert second.startswith("Of the other kinds the")
        assert advice.rival.heater.title.lower() in second.lower()
        assert family_of(advice.rival) != family_of(advice.pick)
    else:
        assert second.startswith("The same again (") and advice.same_again.heater.title.lower() in second.lower()


def test_what_bars_the_same_again_is_named(demos):
    """A tank that may no longer be made is not said to have a label that does not add up."""
    told = advice_sentences(demos["big-house-soaking-tub"].advice)[1]
    assert told.startswith(
        "The same again (75 gal gas tank, natural draft) may no longer be made; of the other kinds the"
    )
    assert "80 gal heat pump tank, 240 V, 2 side by side comes closest" in told
    cold = demos["cold-city-basement"]
    misread = replace(cold.advice.same_again, flags=(stop("label.recovery_below_uef"),))
    others = [misread if one is cold.advice.same_again else one for one in cold.candidates]
    found = advise(others, misread.heater.id, has_240_v_circuit=False, usual_gal=0.0)
    assert "is not advised: its label does not add up; of the other kinds the" in advice_sentences(found)[1]


@every_demo
def test_the_third_says_what_would_make_tankless_pay(demos, name):
    advice = demos[name].advice
    told = advice_sentences(advice)
    if advice.tankless is not None:
        assert re.search(
            r"tankless heater.*(would cost less over the years if|would not win|already comes out)", told[2]
        )


@every_demo
def test_a_payback_is_named_only_where_the_bills_are_lower(demos, name):
    comparison = demos[name]
    advice = comparison.advice
    for other in comparison.candidates:
        found = against(advice.pick, other)
        net = found.saving_usd_per_yr - found.extra_upkeep_usd_per_yr
        earns = net if found.extra_usd > 0 else -net
        if found.installs != "same" and earns <= 0:
            assert "pays back in" not in said(payback_finding(found.back, 15))


@pytest.mark.parametrize(
    ("chance_frac", "told"),
    [
        (0.80, "; in about 8 of 10 versions"),
        (0.51, "; in about 5 of 10 versions"),
        (0.34, "; it is a close call: in about 3 of 10 versions"),
    ],
)
def test_a_close_call_is_called_one(chance_frac, told):
    assert said(words._how_sure(chance_frac)).startswith(told)


def test_of_the_soonest_what_stands_for_its_kind(demos):
    """An electric tank of the size one would put in, not the smallest on the shelf."""
    pumps = compare(
        case_from(
            {
                "place": {"city": "Sacramento, CA"},
                "household": {"people": 4},
                "failed": {"fuel": "electricity", "kind": "heat_pump", "size_gal": 65},
                "house": {"fuels": ["electricity"]},
            }
        ),
        today=TODAY,
    )
    soonest = pumps.advice.soonest
    assert soonest in pumps.advice.kinds and soonest.lead_time.days < pumps.advice.pick.lead_time.days
    # No electric tank as large is sold to everyone: then the largest.
    assert soonest.heater.id == "electric-tank-55"
    # Where nothing but several serve at once, the fewest of the kind in the house.
    assert demos["big-house-soaking-tub"].advice.soonest.heater.id == "gas-tank-50-fastest-x2"


def test_a_plug_in_that_is_passed_over_is_still_named_where_it_comes_closest(demos):
    """The second sentence is true of the table under it: nothing of another kind that serves as well costs less."""
    advice = demos["warm-city-small-household"].advice
    assert advice.plug_in is not None and advice.plug_in not in advice.kinds and advice.rival is advice.plug_in
    assert all(one.money.point_usd >= advice.rival.money.point_usd for one in advice.kinds if one is not advice.pick)
    assert advice.rival.heater.title in advice_sentences(advice)[1]


def test_nothing_of_another_kind(demos):
    comparison = demos["cold-city-basement"]
    home = family_of(comparison.advice.same_again)
    of_home = [one for one in comparison.candidates if family_of(one) == home]
    found = advise(of_home, comparison.like_for_like_id, has_240_v_circuit=False, usual_gal=0.0)
    assert found.rival is None and found.tankless is None
    assert advice_sentences(found)[1:] == ["No other kind on the list both keeps up and fits here."]


def test_the_facts_are_the_candidates_own(demos):
    for comparison in demos.values():
        first, rival = comparison.advice.pick, comparison.advice.rival
        found = against(first, rival)
        extra = rival.money.installed_usd.point - first.money.installed_usd.point
        assert found.extra_usd == extra
        assert found.saving_usd_per_yr == first.running_cost.usd_per_yr - rival.running_cost.usd_per_yr
        assert found.extra_upkeep_usd_per_yr == rival.costs.upkeep.typical_usd_per_yr - (
            first.costs.upkeep.typical_usd_per_yr
        )
        # Who pays back is the dearer of the two.
        dearer, cheaper = (rival, first) if extra > 0 else (first, rival)
        assert found.back == dearer.money.payback_against(cheaper.money)


@pytest.mark.parametrize(
    ("extra_usd", "saving_usd_per_yr", "installs", "runs"),
    [
        (49.0, 4.9, "same", "same"),
        (51.0, 5.1, "more", "less"),
        (-51.0, -5.1, "less", "more"),
        (-49.0, -4.9, "same", "same"),
    ],
)
def test_what_counts_as_the_same(extra_usd, saving_usd_per_yr, installs, runs):
    found = Against(extra_usd, saving_usd_per_yr, 0.0, NEVER)
    assert (found.installs, found.runs) == (installs, runs)


def test_upkeep_is_mentioned_where_it_differs():
    assert Against(1000.0, 80.0, 15.0, NEVER).upkeep == "more"
    assert Against(1000.0, 80.0, 14.9, NEVER).upkeep == "same"
    assert Against(1000.0, -80.0, -15.0, NEVER).upkeep == "less"


def test_the_part_of_a_price_that_is_work_on_the_house(demos):
    for candidate in demos["cold-city-basement"].candidates:
        assert candidate.work_usd == pytest.approx(sum(job.counted_usd[1] for job in candidate.house.work), abs=0.02)
    # Of a quote of $3,600 the work keeps the share that it has in the tables.
    quoted = demos["large-family-short-vent"].candidate("gas-tankless-condensing-199")
    work, base = sum(job.counted_usd[1] for job in quoted.house.work), quoted.house.base.typical_usd
    assert quoted.work_usd == pytest.approx(3600 * work / (base + work), abs=0.01)


NEVER = Payback("does not pay back", None, None, False)


@pytest.mark.parametrize(
    ("found", "says"),
    [
        (
            Against(2000, 100, 100, NEVER),
            "would save about $100 a year on energy (with about $100 more for upkeep) but costs about $2,000 more to "
            "install: that never pays back through lower bills",
        ),
        (
            Against(-500, -120, 0, NEVER),
            "would cost about $120 a year more to run but costs about $500 less to",
        ),
        (Against(2000, -120, 0, NEVER), "would cost about $120 a year more to run and costs about $2,000 more to inst"),
        (Against(1000, -2, 0, NEVER), "would cost about the same to run and costs about $1,000 more to install"),
        (Against(0, 100, 100, NEVER), "a year on energy (with about $100 more for upkeep) and costs about the same to"),
        (
            Against(900, 110, 10, Payback("pays back", 9.0, 10.2, True)),
            "would save about $110 a year on energy but costs about $900 more to install: that pays back in about 10 y",
        ),
    ],
)
def test_the_other_kind_in_words(demos, monkeypatch, found, says):
    """Figures put in by hand for a heater that needs no work on the house."""
    advice = demos["half-inch-gas-branch"].advice
    assert advice.pick is advice.same_again
    bare = [replace(one, house=replace(one.house, work=())) for one in advice.kinds if one is not advice.pick]
    monkeypatch.setattr(words, "against", lambda *_: found)
    assert says in advice_sentences(replace(advice, kinds=(advice.pick, *bare), plug_in=None))[1]


@pytest.mark.parametrize(
    ("back", "words"),
    [
        (NEVER, "never pays back through lower bills"),
        (Payback("does not pay back", 40.0, None, False), "never pays back within the 15 years"),
        (Payback("cheaper to buy, dearer to run", 0.0, 0.0, True), "never pays back within the 15 years"),
        (Payback("saves from day one", 0.0, 0.0, True), "saves from the first day"),
        (Payback("pays back", 1.0, 1.1, True), "pays back in about 1 year"),
        (Payback("pays back", 7.0, 8.4, True), "pays back in about 8 years"),
        (Payback("pays back", 7.0, 8.4, False), "pays back in about 8 years, before the next heater is bought"),
    ],
)
def test_payback_in_words(back, words):
    assert said(payback_finding(back, 15)) == words


def test_a_low_quote_turns_the_pick():
    four = {
        "place": {"zip_code": "55811"},
        "household": {"people": 4},
        "failed": {"fuel": "natural_gas", "size_gal": 50},
        "house": {"fuels": ["natural_gas"]},
        "offers": [{"candidate": "heat-pump-65", "total_usd": 500}],
    }
    found = compare(case_from(four), today=TODAY).advice
    assert found.pick.heater.id == found.cheapest_to_own.heater.id == "heat-pump-65"


def _failed_tankless(city):
    house = {
        "place": {"city": city},
        "household": {"people": 4},
        "failed": {"fuel": "natural_gas", "kind": "tankless"},
        "house": {"fuels": ["natural_gas"]},
    }
    return compare(case_from(house), today=date(2026, 11, 28), by_hand=True).advice


def test_what_speaks_against_a_cheaper_tankless_heater_is_said_of_that_one():
    """No word of a plug-in where none is meant, and no heater that costs 0 dollars less."""
    found = [_failed_tankless(city) for city in ("Sacramento, CA", "Columbus, OH", "Duluth, MN")]
    for advice in found:
        told, less_usd = conclusion_text(advice), advice.pick.money.point_usd - advice.cheapest_to_own.money.point_usd
        assert advice.pick.heater.is_tankless
        assert "plug-in is needed" not in told
        assert ("costs clearly less" in told) == (0 < less_usd < 50)
        assert "about $0 less over" not in told


def test_upkeep_is_told_where_a_payback_rests_on_it(demos):
    """The oil tank's upkeep is most of what the extra price of a heat pump saves."""
    oil = demos["oil-house"]
    assert "a year more to run (and about $180 more for upkeep)" in conclusion_text(oil.advice)
    told = said(plain_words.reasons(oil.advice, oil.recommended, oil.money, "en"))
    assert "would cost about $180 a year more for upkeep" in told
