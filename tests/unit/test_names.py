"""What a heater is called, alone and within a sentence, in either language."""

from dataclasses import replace

import pytest

from advisor.heaters.catalogue import by_id, catalogue
from advisor.report import names


@pytest.mark.parametrize(
    ("heater_id", "n_units", "title", "short", "article", "spanish"),
    [
        (
            "gas-tank-50",
            1,
            "50 gal gas tank, natural draft",
            "50 gal gas tank",
            "a 50 gal gas tank, natural draft",
            "Tanque de tiro natural, gas natural, 50 galones",
        ),
        (
            "heat-pump-80",
            1,
            "80 gal heat pump tank, 240 V",
            "80 gal heat pump tank, 240 V",
            "an 80 gal heat pump tank, 240 V",
            "Tanque con bomba de calor, 240 V, 80 galones",
        ),
        (
            "gas-tankless-condensing-199",
            1,
            "Condensing gas tankless heater, 199,000 Btu/h",
            "Condensing gas tankless, 199k",
            "a condensing gas tankless heater, 199,000 Btu/h",
            "Calentador de paso, de condensación, gas natural, 199,000 Btu/h",
        ),
        (
            "electric-tankless-36",
            2,
            "2 in parallel: Electric tankless heater, 36 kW",
            "2 in parallel: Electric tankless, 36 kW",
            "an electric tankless heater, 36 kW, 2 side by side",
            "2 × Calentador de paso eléctrico, 36 kW",
        ),
    ],
)
def test_names(heater_id, n_units, title, short, article, spanish):
    heater = by_id(heater_id)
    if n_units > 1:
        heater = replace(heater, n_units=n_units, title=f"{n_units} in parallel: {heater.title}")
    assert (names.title(heater), names.short(heater), names.a(heater)) == (title, short, article)
    assert names.title(heater, "es") == names.spoken(heater, "es") == names.a(heater, "es") == spanish


def test_an_own_label_keeps_its_title_in_every_language():
    own = replace(by_id("gas-tank-50"), id="own-1", title="the one in the flyer")
    assert names.title(own) == names.title(own, "es") == "The one in the flyer"


def test_no_two_heaters_share_a_spanish_name():
    told = [names.title(heater, "es") for heater in catalogue()]
    assert len(set(told)) == len(told)
