"""Life-cycle cost by hand: an example of our own, payback in every state, and what may not be asked."""

import numpy as np
import pytest

from advisor.core.errors import InputError
from advisor.money.life_cycle import (
    CashFlow,
    Option,
    Payback,
    Terms,
    life_cycle,
    measure,
    payback,
    yearly_flow,
)
from advisor.physics.present_value import real_rate_frac
from tests.costs import flows_of

TERMS = Terms(15, 0.03)
FLAT_FACTOR = (1 - 1.03**-15) / 0.03


def heater(name, outlay, energy, upkeep, life, again=0.0):
    """Energy as (yearly dollars, factor with the price outlook) pairs."""
    flows = [
        *flows_of(TERMS, heater_usd=outlay, life_yr=life, replacement_usd=again),
        yearly_flow("upkeep", "upkeep", upkeep, TERMS),
        *(yearly_flow("fuel", "energy", usd, TERMS, factor / FLAT_FACTOR) for usd, factor in energy),
    ]
    return Option(name, tuple(flows))


# Invented inputs, 15 years at 3 %, national price outlook from 2026; worked step by step apart from this
# code to the cent. The factors are given to four decimals, which moves the totals by up to 2 cents.
GAS, POWER = 11.8428, 11.6424
TANK = heater("tank", 2000.0, [(160 * 1.50, GAS)], 20, 13, 2000.0)
TANKLESS = heater("tankless", 5200.0, [(110 * 1.50, GAS), (40 * 0.18, POWER)], 100, 20)
PUMP = heater("heat pump", 4300.0, [(1050 * 0.18, POWER)], 25, 13, 3900.0)


@pytest.mark.parametrize(
    ("option", "upkeep", "replacement", "residual", "total", "yearly"),
    [
        (TANK, 238.76, 1361.90, 1086.23, 5356.70, 448.71),
        (TANKLESS, 1193.79, 0.0, 834.42, 7597.26, 636.40),
        (PUMP, 298.45, 2655.71, 2118.14, 7336.44, 614.55),
    ],
    ids=lambda value: getattr(value, "name", None),
)
def test_worked_example(option, upkeep, replacement, residual, total, yearly):
    result = life_cycle(option, TERMS)
    assert result.present_usd["upkeep"] == pytest.approx(upkeep, abs=0.005)
    assert result.present_usd["replacement"] == pytest.approx(replacement, abs=0.006)
    assert result.present_usd["residual"] == pytest.approx(-residual, abs=0.006)
    assert result.total_usd == pytest.approx(total, abs=0.02)
    assert result.annualised_usd_per_yr == pytest.approx(yearly, abs=0.005)


def test_worked_example_measured():
    assert measure(TANKLESS, TANK, TERMS).savings_ratio == pytest.approx(-0.072, abs=0.0005)
    assert measure(TANKLESS, TANK, TERMS).return_frac is None
    assert measure(PUMP, TANK, TERMS).savings_ratio == pytest.approx(0.227, abs=0.0005)
    assert measure(TANKLESS, TANK, TERMS).payback.state == "does not pay back"


def simple(name, outlay, yearly, growth=0.0, terms=TERMS):
    course = (1 + growth) ** terms.years
    return Option(
        name,
        (
            CashFlow("start", "purchase", (0.0,), (float(outlay),)),
            yearly_flow("run", "energy", float(yearly), terms, course),
        ),
    )


@pytest.mark.parametrize(
    ("extra", "saving", "growth", "simple_yr", "discounted_yr"),
    [
        # Worked by hand: 1,800 over 140 is 12.86; at 3 % the cover comes in year 17, with 2 % growth in
        # year 14; the first year then saves 142.80.
        (1800, 140, 0.0, 12.86, 16.49),
        (1800, 140, 0.02, 12.605, 13.81),
        (1500, 200, 0.0, 7.50, 8.63),
    ],
)
def test_payback_by_hand(extra, saving, growth, simple_yr, discounted_yr):
    terms = Terms(25, 0.03)
    result = payback(simple("new", extra, 500 - saving, growth, terms), simple("old", 0, 500, growth, terms), terms)
    assert result.state == "pays back" and result.holds
    assert result.discounted_yr == pytest.approx(discounted_yr, abs=0.005)
    assert result.simple_yr == pytest.approx(simple_yr, abs=0.005)


@pytest.mark.parametrize(
    ("outlay", "yearly", "state"),
    [
        (1000, 300, "no difference"),
        (900, 250, "saves from day one"),
        (1000, 250, "saves from day one"),
        (900, 300, "saves from day one"),
        (900, 350, "cheaper to buy, dearer to run"),
        (1000, 350, "cheaper to buy, dearer to run"),
        (1500, 300, "does not pay back"),
        (1500, 350, "does not pay back"),
        (1500, 290, "does not pay back"),
        (1500, 200, "pays back"),
        # Half a cent is nothing, and is not a year's saving either.
        (1000.004, 300, "no difference"),
        (1000.006, 300, "does not pay back"),
        (999.994, 300, "saves from day one"),
        (1000, 300.004, "no difference"),
        (1000, 300.1, "cheaper to buy, dearer to run"),
        (1000.5, 250, "pays back"),
    ],
)
def test_every_state_of_payback(outlay, yearly, state):
    result = payback(simple("new", outlay, yearly), simple("old", 1000, 300), TERMS)
    assert result.state == state
    if state == "does not pay back":
        assert result.discounted_yr is None
        assert result.simple_yr == (50.0 if yearly == 290 else None)


@pytest.mark.parametrize(
    ("outlay", "yearly", "years", "state", "discounted_yr", "holds"),
    [
        # Without discount: 500 more that save 100 a year are back at the end of the fifth year, the study's last.
        (1500, 200, 5, "pays back", 5.0, True),
        (1499.5, 200, 5, "pays back", 4.995, True),
        (1501, 200, 5, "does not pay back", None, False),
        # A study of one year: 100 more that save 150.
        (1100, 150, 1, "pays back", 2 / 3, True),
        (900, 350, 1, "cheaper to buy, dearer to run", 0.0, True),
        # 100 less to buy and 50 more to run: even after two years, dearer after three.
        (900, 350, 2, "cheaper to buy, dearer to run", 0.0, True),
        (900, 350, 3, "cheaper to buy, dearer to run", 0.0, False),
        (900, 250, 15, "saves from day one", 0.0, True),
    ],
)
def test_payback_at_the_end_of_a_study(outlay, yearly, years, state, discounted_yr, holds):
    terms = Terms(years, 0.0)
    result = payback(simple("new", outlay, yearly, terms=terms), simple("old", 1000, 300, terms=terms), terms)
    assert (result.state, result.holds) == (state, holds)
    assert result.discounted_yr == (None if discounted_yr is None else pytest.approx(discounted_yr))


@pytest.mark.parametrize(("extra_usd", "state"), [(457.5, "pays back"), (458.4, "does not pay back")])
def test_what_a_study_falls_short_by_half_a_dollar(extra_usd, state):
    """100 a year for five years at 3 % are worth $457.97 (any table of annuities: 4.5797)."""
    terms = Terms(5, 0.03)
    new, old = simple("new", 1000 + extra_usd, 200, terms=terms), simple("old", 1000, 300, terms=terms)
    assert payback(new, old, terms).state == state


@pytest.mark.parametrize(
    ("state", "discounted_yr", "whole_yr"),
    [
        ("pays back", 0.3, 1),
        ("pays back", 1.6, 2),
        ("pays back", 8.4, 8),
        ("saves from day one", 0.0, 0),
        ("cheaper to buy, dearer to run", 0.0, None),
        ("does not pay back", None, None),
    ],
)
def test_whole_years_until_it_has_paid_back(state, discounted_yr, whole_yr):
    assert Payback(state, None, discounted_yr, True).whole_yr == whole_yr


def test_a_later_replacement_can_undo_a_payback():
    new = Option("new", (*simple("", 1500, 200).flows, CashFlow("again", "replacement", (12.0,), (1500.0,))))
    result = payback(new, simple("old", 1000, 300), TERMS)
    assert result.state == "pays back" and not result.holds


def test_saves_from_day_one_has_no_ratio():
    result = measure(simple("new", 900, 250), simple("old", 1000, 300), TERMS)
    assert result.savings_ratio is None and result.return_frac is None
    assert result.net_saving_usd == pytest.approx(100 + 50 * FLAT_FACTOR)


@pytest.mark.parametrize(
    ("life", "times", "left"),
    [
        (20.0, (), 2000 * 5 / 20),
        (15.0, (), 0.0),
        (13.0, (13.0,), 2400 * 11 / 13),
        (7.5, (7.5,), 0.0),
        (6.0, (6.0, 12.0), 2400 * 3 / 6),
        (4.0, (4.0, 8.0, 12.0), 2400 * 1 / 4),
        (14.5, (14.5,), 2400 * 14 / 14.5),
        (15.5, (), 2000 * 0.5 / 15.5),
    ],
)
def test_replacements_and_what_is_left(life, times, left):
    flows = flows_of(TERMS, heater_usd=2000.0, life_yr=life, replacement_usd=2400.0)
    replaced = [flow for flow in flows if flow.kind == "replacement"]
    assert (replaced[0].at_yr if replaced else ()) == times
    residual = [flow for flow in flows if flow.kind == "residual"]
    assert (-residual[0].amount_usd[0] if residual else 0.0) == pytest.approx(left)


def test_one_off_work_is_not_done_again_and_keeps_no_value():
    plain, work = (flows_of(TERMS, heater_usd=2000.0, life_yr=10.0, work_usd=usd) for usd in (0.0, 1000.0))
    worth = [life_cycle(Option("o", flows), TERMS).total_usd for flows in (plain, work)]
    assert worth[1] - worth[0] == pytest.approx(1000)
    assert sum(flow.amount_usd[0] for flow in work if flow.kind == "replacement") == 2000


def test_a_rebate_comes_at_once():
    flows = flows_of(TERMS, heater_usd=2000.0, life_yr=15.0, rebate_usd=300.0)
    result = life_cycle(Option("o", flows), TERMS)
    assert result.present_usd["incentive"] == pytest.approx(-300)
    assert Option("o", flows).outlay_usd() == 1700


def test_a_time_inside_a_year_counts_at_its_end():
    flow = CashFlow("x", "other", (0.0, 0.4, 1.0, 13.0, 13.4, 15.0), (1.0, 2.0, 4.0, 8.0, 16.0, 32.0))
    assert np.flatnonzero(flow.by_year_usd(TERMS)).tolist() == [0, 1, 13, 14, 15]
    assert flow.by_year_usd(TERMS)[[0, 1, 13, 14, 15]].tolist() == [1, 6, 8, 16, 32]
    # Its worth is that of the time itself.
    assert flow.by_year_usd(TERMS, present=True)[14] == pytest.approx(16 * 1.03**-13.4)


@pytest.mark.parametrize(("law_yr", "prices"), [(5.0, (1600, 1600)), (5.1, (1200, 1600)), (10.0, (1200, 1600))])
def test_from_the_day_of_a_law_on_another_heater_is_bought(law_yr, prices):
    given = {"replacement_usd": 1200, "later_usd": 1600, "later_from_yr": law_yr}
    flows = flows_of(TERMS, heater_usd=1000, life_yr=5.0, **given)
    assert next(flow.amount_usd for flow in flows if flow.kind == "replacement") == prices


def test_nominal_dollars_give_the_same_worth_as_real_ones():
    inflation, real = 0.025, 0.03
    terms = Terms(15, float(real_rate_frac((1 + real) * (1 + inflation) - 1, inflation)))
    mine = yearly_flow("run", "energy", 240.0, terms, 1.01**terms.years).present_usd(terms)
    nominal = 240.0 * (1.01 * (1 + inflation)) ** terms.years / ((1 + real) * (1 + inflation)) ** terms.years
    assert mine == pytest.approx(nominal.sum(), rel=1e-12)


def test_the_yearly_account_adds_up_to_the_worth():
    for flow in PUMP.flows:
        assert flow.by_year_usd(TERMS, present=True).sum() == pytest.approx(flow.present_usd(TERMS))
    assert PUMP.flows[0].by_year_usd(TERMS)[0] == 4300


@pytest.mark.parametrize(
    "make",
    [
        lambda: CashFlow("x", "energy", (1.0,), (float("nan"),)),
        lambda: CashFlow("x", "energy", (15.1,), (1.0,)).present_usd(TERMS),
        lambda: CashFlow("x", "energy", (-1.0,), (1.0,)).present_usd(TERMS),
        lambda: TERMS.present_value_yr(np.ones(14)),
    ],
)
def test_what_cannot_be_asked(make):
    with pytest.raises(InputError):
        make()


def test_a_flow_of_an_unknown_kind_is_a_fault_of_ours():
    for kind, times in (("petty cash", (0.0,)), ("energy", (0.0, 1.0))):
        with pytest.raises(ValueError, match="unknown kind"):
            CashFlow("x", kind, times, (1.0,))
