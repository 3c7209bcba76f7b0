"""The busy hour: one house and many, the default household, and the worksheet's lines."""

import numpy as np
import pytest

from advisor.core.errors import InputError
from advisor.demand import busy_hour as bh
from advisor.demand.busy_hour import Use
from tests.houses import said


@pytest.mark.parametrize("formula", [bh.hot_flow_gpm, bh.hot_use_gal])
def test_a_scalar_gives_what_an_array_gives(formula):
    example = formula.__published__.example
    one = formula(**example)
    np.testing.assert_array_equal(formula(**{k: np.full(2, v) for k, v in example.items()}), np.full(2, one))


def test_many_houses_at_once():
    people, baths, tub = np.array([1, 2, 4, 5]), np.array([1, 2, 1, 3]), np.array([0.0, 60, 0, 60])
    uses = bh.default_busy_hour(people, baths, set_point_f=120.0, soaking_tub_gal=tub)
    gal = bh.busy_hour_gal(uses, 120.0, 45.0)
    gpm = bh.simultaneous_hot_gpm(uses, 120.0, 45.0)
    for house in range(4):
        alone = bh.default_busy_hour(
            int(people[house]), int(baths[house]), set_point_f=120.0, soaking_tub_gal=float(tub[house])
        )
        assert gal[house] == pytest.approx(bh.busy_hour_gal(alone, 120.0, 45.0))
        assert gpm[house] == pytest.approx(bh.simultaneous_hot_gpm(alone, 120.0, 45.0))


def test_default_household_of_four():
    shower, faucet = bh.default_busy_hour(4, 2, set_point_f=120.0)
    assert (shower.count, shower.together, faucet.count, faucet.together) == (3, 2, 4, 1)
    assert isinstance(shower.count, int)
    # The faucet's 0.75 gpm is hot water already: the mixing balance must leave it alone.
    assert bh.hot_flow_gpm(faucet.mixed_gpm, faucet.use_f, 120.0, 45.0) == 0.75
    reasons = bh.default_assumptions((shower, faucet))
    assert [reason.value for reason in reasons] == ["3 x shower", "4 x faucet"]
    assert all("assumed" in said(reason.reason) or "proposal" in said(reason.reason) for reason in reasons)


@pytest.mark.parametrize(
    ("people", "baths", "showers", "together"),
    [(1, 1, 1, 1), (2, 2, 2, 1), (3, 2, 3, 2), (5, 1, 3, 1), (6, 3, 5, 3), (8, 2, 6, 2)],
)
def test_bathrooms_and_people_limit_the_showers(people, baths, showers, together):
    first = bh.default_busy_hour(people, baths, set_point_f=120.0)[0]
    assert (first.count, first.together) == (showers, together)


def test_showers_known_to_run_together_are_believed():
    first = bh.default_busy_hour(2, 3, set_point_f=120.0, showers_together=3)[0]
    assert (first.count, first.together) == (3, 3)
    first = bh.default_busy_hour(4, 2, set_point_f=120.0, showers_together=0)[0]
    assert (first.count, first.together) == (3, 0)


def test_a_large_tub_stands_in_for_one_shower():
    shower, tub, _ = bh.default_busy_hour(4, 2, set_point_f=120.0, soaking_tub_gal=60.0)
    assert (shower.count, shower.together) == (2, 1)
    assert (tub.count, tub.together) == (1, 1)
    assert tub.mixed_gpm * tub.duration_min == pytest.approx(60.0)
    names = [use.name for use in bh.default_busy_hour(4, 2, set_point_f=120.0, soaking_tub_gal=10.0)]
    assert "tub fill" not in names
    alone = bh.default_busy_hour(1, 1, set_point_f=120.0, soaking_tub_gal=60.0)
    assert [use.name for use in alone] == ["tub fill", "faucet"]


def test_a_use_longer_than_the_hour_counts_as_an_hour():
    assert bh.hot_use_gal(2.0, 90.0, 120.0, 120.0, 50.0) == pytest.approx(120.0)


def test_a_cool_set_point_is_out_of_reach():
    uses = (Use("shower", 2.0, 8.0), Use("dishes", 1.5, 3.0, 115.0))
    assert bh.out_of_reach(uses, 120.0) == ()
    assert bh.out_of_reach(uses, 110.0) == ("dishes",)
    assert bh.out_of_reach(uses, 100.0) == ("shower", "dishes")


def test_worksheet_names_what_it_has_no_line_for():
    uses = (Use("shower upstairs", 2.0, 8.0, count=2), Use("tub fill", 6.0, 10.0), Use("Dishwasher", 1.4, 7.0))
    sheet = bh.worksheet_gal(uses, "C")
    assert sheet.gal == 2 * 20 + 7
    assert sheet.left_out == ("tub fill",)
    assert (sheet.generation, sheet.state) == ("C", "from memory, unverified")
    assert bh.worksheet_gal(uses, "A").gal == 2 * 12 + 9 + 14
    with pytest.raises(InputError, match="no such printing"):
        bh.worksheet_gal(uses, "D")
