"""The commissioning sheet of a candidate from its case: each expected value against arithmetic by hand."""

import json
from datetime import date
from types import SimpleNamespace

import pytest

from advisor.case.file import read_case
from advisor.cli import BAD_INPUT, DEMO, DONE, main
from advisor.comparison import compare
from advisor.core import paths
from advisor.core.units import UNITS
from advisor.house.readings import readings_for
from advisor.report.readings_text import readings_dict, readings_text
from tests.houses import HYBRID, USE, case_of, heater_of, house_of, said

DEMOS = sorted(path.stem for path in paths.CASES.glob("*.toml"))
TANKLESS = "gas-tankless-condensing-180"


@pytest.fixture
def run(capsys):
    """Run a command; exit code, standard output and standard error come back."""

    def _run(*arguments):
        code = main(arguments)
        out, err = capsys.readouterr()
        return SimpleNamespace(code=code, out=out, err=err)

    return _run


@pytest.fixture(scope="module")
def comparisons():
    """Every demo, compared once."""
    return {name: compare(read_case(paths.CASES / f"{name}.toml"), today=date(2026, 11, 25)) for name in DEMOS}


def readings(heater_id, n_units=1, place=None, changes=None, **keys):
    """The sheet as ``{words: reading}``."""
    house = house_of(case_of(changes, **keys), **(place or {}))
    return {said(item.what): item for item in readings_for(heater_of(heater_id, n_units), *house, USE)}


def test_the_dial_by_hand_at_sea_level():
    """2 ft3 of 1,036 Btu gas (Energy Information Administration 2025) at 180,000 Btu/h: 2 x 1,036 / 180,000 h."""
    sheet = readings(TANKLESS, place={"us_state": "US"})
    for dial, words in ((0.5, "1/2"), (1, "1"), (2, "2")):
        reading = sheet[f"one turn of the {words} ft³ dial"]
        assert reading.expected == pytest.approx(3600 * dial * 1036 / 180_000)
        assert reading.holds(reading.expected) and not reading.holds(1.1 * reading.expected)
    assert sheet["one turn of the 2 ft³ dial"].expected == pytest.approx(41.44, abs=0.005)


def test_the_dial_at_height_counts_thinner_gas_and_a_smaller_fire():
    """At 5,280 ft a cubic foot holds 0.84 of its gas and a burner keeps 0.789 of its input (4 % a 1,000 ft)."""
    place = {"us_state": "CO", "elevation_ft": 5280, "altitude_frac": 0.789}
    turn = readings(TANKLESS, place=place)["one turn of the 2 ft³ dial"].expected
    # Colorado gas holds 1,065 Btu a cubic foot; 0.84 is printed to two figures.
    assert turn == pytest.approx(3600 * 2 * 1065 * 0.84 / (0.789 * 180_000), rel=0.006)


def test_propane_is_not_clocked():
    sheet = readings("propane-tankless-199", failed__fuel="propane")
    assert not [what for what in sheet if "dial" in what]
    assert sheet["gas pressure, nothing burning"].expected == 11


def test_flow_at_full_fire_carries_the_heat_of_the_flame():
    """180,000 Btu/h at 0.97 over 78 °F and 8.24 Btu/(gal °F): 4.53 gpm."""
    reading = readings(TANKLESS)["flow at full fire, set point just held"]
    assert reading.expected == pytest.approx(180_000 * 0.97 / (60 * 8.24 * (120 - 42)), rel=1e-3)
    assert reading.expected == pytest.approx(4.53, abs=0.01)


def test_rise_of_a_tank_in_ten_minutes():
    """40,000 Btu/h at 0.78 for a sixth of an hour into 38 gal of 8.24 Btu/(gal °F): 16.6 °F."""
    reading = readings("gas-tank-40")["rise of the tank in 10 minutes of firing without draw"]
    assert reading.expected == pytest.approx(40_000 * 0.78 / 6 / (38 * 8.24), rel=1e-3)
    assert reading.expected == pytest.approx(16.6, abs=0.05)


@pytest.mark.parametrize(
    ("heater", "supply_v", "amperes"),
    [
        ("electric-tank-50", 240, 18.75),  # 4,500 / 240, the published worked answer for a 30 A circuit
        ("electric-tank-50", 208, 16.25),  # the same resistance: 18.75 x 208 / 240
        ("electric-tankless-27", 240, 37.5),  # 27 kW in three groups
        ("electric-tankless-36", 240, 37.5),  # 36 kW in four
    ],
)
def test_amperes_of_one_element(heater, supply_v, amperes):
    sheet = readings(heater, electrical__supply_v=supply_v)
    assert sheet["current of one element or group"].expected == pytest.approx(amperes)
    assert sheet["voltage at the heater under load"].expected == supply_v


def test_condensate_of_a_condensing_burner():
    """1.8 therm an hour make 1.8 x 1.128 gal; at 0.97 the flue is near 90 °F and about 0.76 of it condenses."""
    reading = readings(TANKLESS)["condensate at full fire"]
    assert reading.expected == pytest.approx(1.8 * 1.128 * 0.76, rel=0.05)
    assert readings(TANKLESS, n_units=2)["condensate at full fire"].expected == pytest.approx(reading.expected)
    assert "condensate at full fire" not in readings("gas-tankless-199")
    assert "condensate at full fire" not in readings("heat-pump-50")


def test_behind_a_line_regulator_the_gauge_reads_the_regulator():
    sheet = readings("gas-tank-30", changes={"gas": HYBRID})
    reading = sheet["gas pressure, nothing burning"]
    assert reading.expected == 8
    assert (reading.low, reading.high) == (5, 10.5)


def test_every_candidate_of_every_demo_prints(comparisons):
    for comparison in comparisons.values():
        for candidate in comparison.candidates:
            found = readings_for(candidate.heater, comparison.facts, comparison.circumstances, candidate.use)
            whats = [said(item.what) for item in found]
            assert len(set(whats)) == len(whats) >= 4
            assert whats[-1].startswith("make, serial number")
            for si in (False, True):
                text = readings_text(candidate.heater.title, found, si=si)
                assert max(map(len, text.splitlines())) <= 100
                assert "nan" not in text.split() and "None" not in text and "inf " not in text
                assert text.count("read: ____") == len(found)
            for item in found:
                assert item.suffix in UNITS and said(item.why) and said(item.how)
                if None not in (item.low, item.expected, item.high):
                    assert item.low <= item.expected <= item.high
            json.dumps(readings_dict(candidate.heater.id, found), allow_nan=False)


@pytest.mark.parametrize("name", DEMOS)
def test_the_command_takes_the_recommended_candidate(run, comparisons, name):
    done = run("commission", name, "--json")
    assert (done.code, done.err) == (DONE, "")
    found = json.loads(done.out, parse_constant=pytest.fail)
    comparison = comparisons[name]
    assert found["candidate"] == (comparison.recommended_id or comparison.like_for_like_id)
    assert found["readings"]


def test_the_command_prints_the_sheet_of_one_candidate(run):
    done = run("commission", DEMO, "--candidate", "heat-pump-50")
    assert done.code == DONE
    assert done.out.startswith("Readings when it runs: ")
    assert "licensed installer" in done.out and "18.8 A" in done.out
    assert run("commission", DEMO, "--candidate", "heat-pump-50", "--si").out != done.out
    assert run("commission").out == run("commission", DEMO).out


@pytest.mark.parametrize(("wanted", "says"), [("heat-pump-50s", "heat-pump-50"), ("zzz", "such as gas-tank-30")])
def test_an_unknown_candidate_is_refused(run, wanted, says):
    done = run("commission", DEMO, "--candidate", wanted)
    assert (done.code, done.out) == (BAD_INPUT, "")
    assert done.err.startswith("advisor: candidate = ") and says in done.err and done.err.count("\n") == 1


def test_a_case_that_cannot_be_read_is_refused(run):
    assert run("commission", "no-such-house").code == BAD_INPUT
