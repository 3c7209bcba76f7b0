"""Bills worked by hand. Common practice, no published source: this is how a bill adds up."""

import numpy as np
import pytest

from advisor.core.errors import InputError
from advisor.core.kinds import Fuel
from advisor.money.rates import BlockRate, FlatRate, Season, SeasonalRate, Tier, TimeOfUseRate, Window
from advisor.money.tariffs import (
    Tariff,
    marginal_price_usd_per_unit,
    monthly_cost_usd,
    shift_out_of_peak,
)

GAS, POWER, PROPANE, _OIL = Fuel.all()
TIERS = BlockRate((Tier(0.10, 500), Tier(0.20, 1000), Tier(0.30)))
PEAK = TimeOfUseRate(0.10, (Window(0.40, 16, 21, "weekday"), Window(0.06, 0, 6)))
EVEN = np.full(24, 1 / 24)


def test_a_flat_rate_with_tax():
    gas = Tariff(GAS, FlatRate(1.50), fixed_usd_per_mo=12, tax_frac=0.05)
    # 10 therm x 1.50 x 1.05 = 15.75; the account charge is not the heater's.
    assert monthly_cost_usd(gas, np.full(12, 10.0)) == pytest.approx(np.full(12, 15.75))


@pytest.mark.parametrize("fuel", ["propane", "heating_oil"])
def test_gallons(fuel):
    tariff = Tariff(Fuel.named(fuel), FlatRate(3.20))
    assert tariff.unit == "gal"
    assert monthly_cost_usd(tariff, np.full(12, 15.0)).sum() == pytest.approx(12 * 15 * 3.20)


def test_blocks_price_the_heater_on_top_of_the_rest():
    power = Tariff(POWER, TIERS)
    # 300 kWh on top of 400: 100 at 0.10 and 200 at 0.20 = 50. Alone it would be 30.
    assert monthly_cost_usd(power, np.full(12, 300.0), 400.0) == pytest.approx(np.full(12, 50.0))
    assert monthly_cost_usd(power, np.full(12, 300.0)) == pytest.approx(np.full(12, 30.0))
    # 300 on top of 900: 100 at 0.20 and 200 at 0.30 = 80.
    assert monthly_cost_usd(power, np.full(12, 300.0), 900.0) == pytest.approx(np.full(12, 80.0))


def test_daily_allowance_follows_the_length_of_the_month():
    power = Tariff(POWER, BlockRate((Tier(0.10, 10), Tier(0.20)), per_day=True))
    cost = monthly_cost_usd(power, np.full(12, 400.0))
    # January: 310 at 0.10 and 90 at 0.20 = 49; April: 300 and 100 = 50; a February in four has a day more.
    assert cost == pytest.approx([49, 51.75, 49, 50, 49, 50, 49, 49, 50, 49, 50, 49])


def test_seasons():
    rate = SeasonalRate((Season((6, 7, 8, 9), FlatRate(0.30)), Season((1, 2, 3, 4, 5, 10, 11, 12), TIERS)))
    cost = monthly_cost_usd(Tariff(POWER, rate), np.full(12, 100.0), 450.0)
    # Summer 100 x 0.30; winter 50 at 0.10 and 50 at 0.20.
    assert cost == pytest.approx([15.0] * 5 + [30.0] * 4 + [15.0] * 3)


def test_hours_of_use():
    power = Tariff(POWER, PEAK)
    # Weekday: 5 h at 0.40, 6 h at 0.06, 13 h at 0.10; weekend: 6 h at 0.06, 18 h at 0.10; 5 days and 2.
    weekday, weekend = (5 * 0.40 + 6 * 0.06 + 13 * 0.10) / 24, (6 * 0.06 + 18 * 0.10) / 24
    expected = 100 * (5 * weekday + 2 * weekend) / 7
    assert monthly_cost_usd(power, np.full(12, 100.0), 0.0, EVEN) == pytest.approx(np.full(12, expected))


def test_a_window_runs_over_midnight():
    mask = Window(0.05, 22, 6).mask()
    assert np.flatnonzero(mask[0]).tolist() == [0, 1, 2, 3, 4, 5, 22, 23]
    assert Window(0.05, 0, 24).mask().all()
    assert not Window(0.05, 22, 6, "weekend").mask()[0].any()
    assert np.flatnonzero(Window(0.05, 16, 24, "weekend").mask()[1]).tolist() == list(range(16, 24))
    assert np.flatnonzero(Window(0.05, 24, 2).mask()[1]).tolist() == [0, 1]


def test_prices_by_hour():
    price = SeasonalRate((Season((1, 2), TIERS), Season((3,), FlatRate(0.5)), Season(tuple(range(4, 13)), PEAK)))
    by_hour = price.price_by_hour()
    assert by_hour.shape == (12, 2, 24)
    # A block's first units, whatever the hour; then 16 to 21 h of a weekday and no other.
    assert by_hour[:, 0, 18] == pytest.approx([0.10] * 2 + [0.50] + [0.40] * 9)
    assert by_hour[3, 0, [0, 5, 6, 15, 16, 20, 21]] == pytest.approx([0.06, 0.06, 0.10, 0.10, 0.40, 0.40, 0.10])
    assert by_hour[3, 1, 18] == pytest.approx(0.10)
    assert price.prices() == (0.10, 0.20, 0.30, 0.50, 0.10, 0.40, 0.06)


def test_what_is_just_allowed():
    """The dearest price that a household may pay, a small first block, nothing used, shares that are rounded."""
    assert Tariff(POWER, FlatRate(3.0)).unit == "kWh"
    gas = Tariff(GAS, FlatRate(0.0))
    assert gas.fixed_usd_per_mo == 0 and not monthly_cost_usd(gas, np.zeros(12), np.zeros(12)).any()
    small = Tariff(POWER, BlockRate((Tier(0.10, 0.5), Tier(0.20))))
    # Half a kWh at 0.10 and half at 0.20.
    assert monthly_cost_usd(small, np.ones(12)) == pytest.approx(np.full(12, 0.15))
    whole = TimeOfUseRate(0.10, (Window(0.06, 0, 24, "weekend"),))
    assert monthly_cost_usd(Tariff(POWER, whole), np.ones(12), 0, EVEN) == pytest.approx(np.full(12, 0.62 / 7))
    flat = monthly_cost_usd(Tariff(POWER, PEAK), np.ones(12), 0, EVEN)
    assert monthly_cost_usd(Tariff(POWER, PEAK), np.ones(12), 0, EVEN * 1.009) == pytest.approx(flat)


def test_time_of_use_with_one_price_is_flat():
    same = TimeOfUseRate(0.2, (Window(0.2, 7, 9),))
    use = np.arange(1.0, 13.0)
    hours = np.random.default_rng(1).dirichlet(np.ones(24), 2)
    cost = monthly_cost_usd(Tariff(POWER, same), use, 50.0, hours)
    assert cost == pytest.approx(monthly_cost_usd(Tariff(POWER, FlatRate(0.2)), use, 50.0))


def test_a_timer_moves_use_out_of_the_peak():
    moved = shift_out_of_peak(PEAK, EVEN, 0.8)
    assert moved.sum(axis=-1) == pytest.approx(np.ones((12, 2)))
    assert moved[0, 0, 18] == pytest.approx(0.2 / 24)
    assert moved[0, 0, 3] == pytest.approx((1 + 0.8 * 5 / 6) / 24)
    power, use = Tariff(POWER, PEAK), np.full(12, 100.0)
    saved = monthly_cost_usd(power, use, 0, EVEN) - monthly_cost_usd(power, use, 0, moved)
    # 80 % of 5/24 of 100 kWh falls from 0.40 to 0.06 on weekdays, of 18/24 from 0.10 to 0.06 on weekends.
    assert saved[0] == pytest.approx(100 * 0.8 * (5 / 7 * 5 / 24 * 0.34 + 2 / 7 * 18 / 24 * 0.04))


@pytest.mark.parametrize(("rate", "frac"), [(FlatRate(0.2), 1.0), (TIERS, 1.0), (PEAK, 0.0)])
def test_a_timer_changes_nothing_where_hours_cost_the_same_or_nothing_is_moved(rate, frac):
    uneven = np.arange(24) / np.arange(24).sum()
    assert shift_out_of_peak(rate, uneven, frac) == pytest.approx(np.broadcast_to(uneven, (12, 2, 24)))


def test_the_marginal_price_leaves_the_account_charge_out():
    gas = Tariff(GAS, FlatRate(1.0), fixed_usd_per_mo=10)
    house = np.array([100, 90, 70, 40, 20, 15, 15, 15, 15, 30, 60, 90.0])
    assert marginal_price_usd_per_unit(gas, np.full(12, 13.0), house) == pytest.approx(1.0)
    power = Tariff(POWER, TIERS)
    assert marginal_price_usd_per_unit(power, np.full(12, 300.0), 400.0) == pytest.approx(50 / 300)
    assert np.isnan(marginal_price_usd_per_unit(gas, np.zeros(12)))


def test_many_houses_at_once_give_the_same_as_one():
    rng = np.random.default_rng(3)
    use, other = rng.uniform(0, 400, (7, 12)), rng.uniform(0, 1500, (7, 12))
    seasons = SeasonalRate((Season((1, 2, 3), TIERS), Season(tuple(range(4, 13)), PEAK)))
    for rate in (TIERS, PEAK, seasons, FlatRate(0.2)):
        tariff = Tariff(POWER, rate, tax_frac=0.03)
        together = monthly_cost_usd(tariff, use, other, EVEN)
        alone = [monthly_cost_usd(tariff, u, o, EVEN) for u, o in zip(use, other, strict=True)]
        assert together == pytest.approx(np.array(alone))
        prices = [marginal_price_usd_per_unit(tariff, u, o, EVEN) for u, o in zip(use, other, strict=True)]
        assert marginal_price_usd_per_unit(tariff, use, other, EVEN) == pytest.approx(np.array(prices))


@pytest.mark.parametrize(
    ("make", "field"),
    [
        # Table ``fuels``: no household pays more than $3 a kWh.
        (lambda: Tariff(POWER, FlatRate(3.01)), "tariff.rate"),
        (lambda: Tariff(POWER, BlockRate((Tier(0.1, 500), Tier(3.01)))), "tariff.rate"),
        (lambda: Tariff(POWER, TimeOfUseRate(3.01, ())), "tariff.rate"),
        (lambda: Tariff(POWER, TimeOfUseRate(0.1, (Window(0.2, 8, 9), Window(3.01, 9, 10)))), "tariff.rate"),
        (lambda: BlockRate((Tier(0.1, 0.0), Tier(0.2))), "tiers.up_to_units"),
        (lambda: BlockRate((Tier(0.1, 500), Tier(0.2, 500), Tier(0.3))), "tiers.up_to_units"),
        (lambda: BlockRate((Tier(0.1, np.inf), Tier(0.2))), "tiers.up_to_units"),
        (lambda: BlockRate((Tier(0.1, 500), Tier(0.2, 800))), "tiers.up_to_units"),
        (lambda: BlockRate((Tier(0.1, 500), Tier(0.2, 400), Tier(0.3))), "tiers.up_to_units"),
        (lambda: BlockRate((Tier(0.1), Tier(0.2))), "tiers.up_to_units"),
        (lambda: TimeOfUseRate(0.1, (Window(0.2, 8, 12), Window(0.3, 11, 14))), "windows.start_h"),
        (lambda: TimeOfUseRate(0.1, (Window(0.2, 8, 12), Window(0.3, 14, 15), Window(0.3, 9, 10))), "windows.start_h"),
        (lambda: TimeOfUseRate(0.1, (Window(0.2, 8, 8),)), "windows.end_h"),
        (lambda: TimeOfUseRate(0.1, (Window(0.2, 0, 0),)), "windows.end_h"),
        (lambda: TimeOfUseRate(0.1, (Window(0.2, 24, 0),)), "windows.end_h"),
        (lambda: TimeOfUseRate(0.1, (Window(0.2, 24, 24),)), "windows.end_h"),
        (lambda: SeasonalRate((Season((1, 2), FlatRate(1)),)), "seasons.months"),
        (lambda: SeasonalRate((Season(tuple(range(13)), FlatRate(1)),)), "seasons.months"),
        (lambda: SeasonalRate((Season((*range(1, 13), 12), FlatRate(1)),)), "seasons.months"),
        (lambda: monthly_cost_usd(Tariff(POWER, PEAK), np.ones(12)), "hourly_share"),
        (lambda: monthly_cost_usd(Tariff(POWER, PEAK), np.ones(12), 0, EVEN * 1.02), "hourly_share"),
        (lambda: monthly_cost_usd(Tariff(POWER, PEAK), np.ones(12), 0, EVEN * 0.98), "hourly_share"),
        (lambda: monthly_cost_usd(Tariff(POWER, PEAK), np.ones(12), 0, [1.5, -0.5, *[0.0] * 22]), "hourly_share"),
        (lambda: monthly_cost_usd(Tariff(POWER, PEAK), np.ones(12), 0, np.ones(23)), "hourly_share"),
        (lambda: monthly_cost_usd(Tariff(POWER, TIERS), np.ones(11)), "use_by_month"),
        (lambda: monthly_cost_usd(Tariff(POWER, TIERS), 5.0), "use_by_month"),
        (lambda: monthly_cost_usd(Tariff(POWER, TIERS), np.full(12, -0.1)), "use_by_month"),
        (lambda: monthly_cost_usd(Tariff(POWER, TIERS), np.full(12, np.nan)), "use_by_month"),
        (lambda: monthly_cost_usd(Tariff(POWER, TIERS), np.ones(12), -1.0), "other_use_by_month"),
        (lambda: monthly_cost_usd(Tariff(POWER, TIERS), np.ones(12), np.ones(11)), "other_use_by_month"),
    ],
)
def test_bad_tariffs_are_one_sentence(make, field):
    with pytest.raises(InputError) as caught:
        make()
    assert caught.value.field == field
    assert str(caught.value).endswith(".")
