"""Upkeep by kind and hardness, and lives. The figures are working ranges, from memory, unverified."""

import numpy as np
import pytest

from advisor.core.errors import InputError
from advisor.core.kinds import Technology
from advisor.money.upkeep import descale_every_yr, lifetime, still_working_frac, yearly_upkeep

KINDS = Technology.all()


def test_every_kind_has_upkeep_and_a_life():
    assert len(KINDS) == 11
    for kind in KINDS:
        low, typical, high = yearly_upkeep(kind).range_usd_per_yr
        assert 0 < low < typical < high
        assert 8 <= lifetime(kind).mean_yr <= 25
        assert lifetime(kind, neglected=True).mean_yr <= lifetime(kind).mean_yr


def test_hardness_sets_the_descaling_of_tankless_heaters_only():
    kind = Technology.named("gas_tankless_condensing")
    # The yearly 130 is one descaling, which alone is priced at 140: half of it less, or one job more.
    amounts = [yearly_upkeep(kind, gpg).typical_usd_per_yr for gpg in (1.0, 8.0, 15.0)]
    assert amounts == [65, 130, 270]
    assert yearly_upkeep(kind).typical_usd_per_yr == 130
    # The range keeps its shape: half of it, or 270/130 of it.
    usual = np.array(yearly_upkeep(kind).range_usd_per_yr)
    assert yearly_upkeep(kind, 1.0).range_usd_per_yr == pytest.approx(usual / 2)
    assert yearly_upkeep(kind, 15.0).range_usd_per_yr == pytest.approx(usual * 270 / 130)
    assert [yearly_upkeep(kind, gpg).descale_every_yr for gpg in (1.0, 8.0, 15.0)] == [2, 1, 0.5]
    assert yearly_upkeep(Technology.named("gas_storage_atmospheric"), 15.0) == yearly_upkeep(
        Technology.named("gas_storage_atmospheric")
    )


@pytest.mark.parametrize(("gpg", "every"), [(0, 2), (3.49, 2), (3.5, 1), (10.49, 1), (10.5, 0.5), (90, 0.5)])
def test_descaling_at_the_edges_of_the_classes(gpg, every):
    assert descale_every_yr(gpg) == every


def test_nothing_below_nought():
    for gpg in (0.0, 5.0, 30.0):
        assert min(yearly_upkeep(Technology.named("electric_tankless"), gpg).range_usd_per_yr) >= 0


def test_a_life_by_hand():
    # At the scale (mean / Gamma(1.4)) exp(-1) are left.
    scale = 14.5 / 0.8872638175
    assert still_working_frac(scale, 14.5, 2.5) == pytest.approx(np.exp(-1), abs=1e-9)
    assert still_working_frac(0.0, 14.5, 2.5) == 1
    ages = np.array([0.0, 5.0, 20.0])
    assert still_working_frac(ages, 14.5, 2.5) == pytest.approx([still_working_frac(a, 14.5, 2.5) for a in ages])
    # The mean is the area under the curve.
    ages = np.linspace(0, 80, 40_001)
    assert np.trapezoid(still_working_frac(ages, 14.5, 2.5), ages) == pytest.approx(14.5, abs=1e-4)


def test_a_hardness_below_nought_is_refused():
    with pytest.raises(InputError):
        descale_every_yr(-1)
