"""The command line: every command, every way out, output that fits a terminal, JSON that keeps its promise."""

import io
import json
import os
import subprocess
import sys
import textwrap
from datetime import date
from types import SimpleNamespace

import pytest

from advisor import __version__, cli, formulas
from advisor.case.file import read_case
from advisor.cli import BAD_INPUT, DONE, OUR_FAULT, STOPPED, main
from advisor.comparison import compare
from advisor.core import paths, tables
from advisor.house.readings import readings_for
from advisor.report.conclusion_text import conclusion_text
from advisor.report.readings_text import readings_text
from advisor.report.text import comparison_text

DEMOS = sorted(path.stem for path in paths.CASES.glob("*.toml"))
FOUR = (
    '[place]\nzip_code = "55811"\n[household]\npeople = 4\n[failed]\nfuel = "natural_gas"\n[house]\n'
    'fuels = ["natural_gas"]\n'
)
COMMANDS = [
    ["compare"],
    ["bench"],
    ["commission"],
    ["money"],
    ["turns"],
    ["document"],
    ["prices"],
    ["case"],
    ["case", "new"],
    ["case", "check"],
    ["case", "schema"],
    ["case", "demos"],
    ["formula"],
    ["sources"],
    ["serve"],
    ["screen"],
    ["rules"],
    ["rules", "check"],
    ["rules", "explain"],
    ["rules", "columns"],
]


@pytest.fixture
def run(capsys):
    """Run a command; exit code, standard output and standard error come back."""

    def _run(*arguments):
        code = main(arguments)
        out, err = capsys.readouterr()
        return SimpleNamespace(code=code, out=out, err=err)

    return _run


def fresh(*arguments, **options):
    """The same in a fresh process."""
    settings = {"capture_output": True, "text": True, "check": False, "encoding": "utf-8"} | options
    return subprocess.run([sys.executable, "-m", "advisor", *arguments], **settings)


@pytest.fixture(scope="module")
def comparisons():
    """Every demo, compared once."""
    return {name: compare(read_case(paths.CASES / f"{name}.toml"), today=date(2026, 11, 25)) for name in DEMOS}


@pytest.mark.parametrize("command", [[], *COMMANDS], ids=" ".join)
def test_help_is_there(run, command):
    done = run(*command, "--help")
    assert (done.code, done.err) == (DONE, "")
    assert done.out.startswith("usage: advisor")
    assert max(map(len, done.out.splitlines())) <= 100


def test_every_command_is_tested_here():
    """The commands that --help lists are those of this file."""
    parser = cli.build_parser()
    first = next(action for action in parser._actions if action.choices)
    listed = [[name] for name in first.choices]
    for name, sub in first.choices.items():
        for action in sub._actions:
            if isinstance(action.choices, dict):
                listed += [[name, inner] for inner in action.choices]
    assert sorted(listed) == sorted(COMMANDS)


def test_version(run):
    assert run("--version").out == f"advisor {__version__}\n"


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["compar"],
        ["compare", "a", "b"],
        ["compare", "--fast"],
        ["case"],
        ["case", "new"],
        ["case", "eat", "x"],
        ["case", "check"],
        ["formula", "--yaml"],
        ["sources", "x"],
        ["--si"],
    ],
    ids=" ".join,
)
def test_a_wrong_command_is_one_sentence_on_standard_error(run, arguments):
    done = run(*arguments)
    assert (done.code, done.out) == (BAD_INPUT, "")
    assert done.err.count("\n") == 1
    assert done.err.startswith("advisor")
    assert "--help' shows the usage." in done.err


@pytest.mark.parametrize(
    ("arguments", "names"),
    [
        (["compare", "no-such-house"], "no-such-house"),
        (["case", "check", "no-such-house"], "no-such-house"),
        (["figure", "heated_flow"], "write 'advisor formula'"),
        (["formula", "heated_flow"], "heated_flow_gpm"),
        (["formula", "zzz"], "lists them all"),
        (["formula", "heated_flow_gpm", "rise_df"], "KEY=VALUE"),
        (["formula", "heated_flow_gpm", "rise=67"], "rise_df"),
        (["formula", "heated_flow_gpm", "rise_df=warm"], "rise_df"),
        (["formula", "heated_flow_gpm", "rise_df=5 gal"], "rise_df"),
        (["formula", "heated_flow_gpm", "rise_df="], "rise_df"),
        (["formula", "pipe_waste_frac", "is_insulated=perhaps"], "yes or no"),
        (["formula", "pipe_waste_frac", "recirculation=sometimes"], "recirculation"),
    ],
)
def test_bad_input_is_one_sentence_on_standard_error(run, arguments, names):
    done = run(*arguments)
    assert (done.code, done.out) == (BAD_INPUT, "")
    assert done.err.count("\n") == 1
    assert names in done.err


def test_a_fault_of_ours_is_told_without_a_traceback(run, monkeypatch):
    monkeypatch.setattr(tables, "names", lambda: 1 / 0)
    done = run("sources")
    assert (done.code, done.out) == (OUR_FAULT, "")
    assert (
        done.err == "advisor: this should not have happened (ZeroDivisionError: division by zero). Please report it.\n"
    )


def test_an_interrupt_ends_quietly(run, monkeypatch):
    def interrupt():
        raise KeyboardInterrupt

    monkeypatch.setattr(tables, "names", interrupt)
    done = run("sources")
    assert (done.code, done.out, done.err) == (STOPPED, "", "")  # as a shell counts an interrupt


def test_compare_without_a_case_shows_a_demo(run):
    assert run("compare").out == run("compare", cli.DEMO).out
    assert cli.DEMO in DEMOS


def test_compare_reads_a_file_and_standard_input(run, tmp_path, monkeypatch):
    path = tmp_path / "house.toml"
    path.write_text(FOUR, encoding="utf-8")
    from_file = run("compare", str(path))
    assert from_file.code == DONE
    assert from_file.out.startswith("Your water heater\nDuluth, MN\n")
    monkeypatch.setattr(sys, "stdin", SimpleNamespace(buffer=io.BytesIO(FOUR.encode())))
    assert run("compare", "-").out == from_file.out
    monkeypatch.setattr(sys, "stdin", SimpleNamespace(buffer=io.BytesIO(b"")))
    assert run("compare", "-").code == BAD_INPUT


@pytest.mark.parametrize("show_all", [False, True])
@pytest.mark.parametrize("si", [False, True])
@pytest.mark.parametrize("name", DEMOS)
def test_text_fits_a_terminal(comparisons, name, si, show_all):
    text = comparison_text(comparisons[name], si=si, show_all=show_all)
    too_long = [line for line in text.splitlines() if len(line) > 100]
    assert not too_long
    assert "nan" not in text.lower().split()
    assert "inf" not in text.lower().split()
    assert "None" not in text


def test_a_long_name_fits_too(run, tmp_path):
    path = tmp_path / "house.toml"
    path.write_text(f'name = "{"a long name " * 9}"\n' + FOUR, encoding="utf-8")
    assert max(map(len, run("compare", str(path)).out.splitlines())) <= 100


@pytest.mark.parametrize("name", DEMOS)
def test_text_says_what_was_worked_out(comparisons, name):
    comparison = comparisons[name]
    text = comparison_text(comparison, show_all=True)
    flat = " ".join(text.split())
    assert " ".join(conclusion_text(comparison.advice).split()) in flat
    for candidate in comparison.candidates:
        # The whole of it, a long one on two lines.
        assert all(line in text for line in textwrap.wrap(candidate.heater.title, 29, break_on_hyphens=False))
    for assumption in comparison.assumed:
        assert f"{assumption.field} = " in flat
    assert len(comparison_text(comparison)) < len(text)


def test_all_and_si_change_what_is_shown(run):
    plain, every, si = run("compare").out, run("compare", "--all").out, run("compare", "--si").out
    assert len(every.splitlines()) > len(plain.splitlines())
    assert "gal/day" in plain and "L/day" in si


TWELVE = 12
ENERGY = {"therm_per_yr", "kwh_per_yr", "propane_gal_per_yr", "oil_gal_per_yr"}


@pytest.mark.parametrize("name", DEMOS)
def test_json_keeps_its_promise(run, name):
    done = run("compare", name, "--json")
    assert (done.code, done.err) == (DONE, "")
    found = json.loads(done.out, parse_constant=pytest.fail)
    assert {"case", "assumed", "place", "demand", "candidates", "cautions", "sources", "conclusion"} <= set(found)
    assert found["case"]["failed"]["fuel"]
    for item in found["assumed"]:
        assert set(item) == {"field", "value", "reason"}
        assert item["reason"]
    assert len(found["place"]["mains_f"]) == TWELVE
    assert all(32 < reading < 100 for reading in found["place"]["mains_f"])
    assert len(found["demand"]["daily_gal_by_month"]) == TWELVE
    assert found["demand"]["busy_hour_gal"] > 0
    assert len(found["candidates"]) > 5
    assert len({candidate["id"] for candidate in found["candidates"]}) == len(found["candidates"])
    for candidate in found["candidates"]:
        assert {
            "id",
            "title",
            "class",
            "fuel",
            "label",
            "energy",
            "running_cost_usd_per_yr",
            "running_cost_by_month_usd",
            "co2_lb_per_yr",
            "capacity",
            "house",
        } <= set(candidate)
        assert set(candidate["energy"]) >= ENERGY
        assert all(candidate["energy"][key] >= 0 for key in ENERGY)
        assert any(candidate["energy"][key] > 0 for key in ENERGY)
        assert len(candidate["running_cost_by_month_usd"]) == TWELVE
        # Twelve months, each rounded to the cent.
        assert sum(candidate["running_cost_by_month_usd"]) == pytest.approx(
            candidate["running_cost_usd_per_yr"], abs=0.07
        )
        assert candidate["capacity"]["verdict"] in {"keeps up", "keeps up with care", "falls short"}
        assert candidate["capacity"]["why"].endswith(".")
        assert candidate["house"]["verdict"] in {"fits as it is", "needs work", "does not fit"}
        assert candidate["house"]["why"].endswith(".")
        for job in candidate["house"]["work"]:
            assert {"job", "what", "low_usd", "typical_usd", "high_usd", "why", "who", "needs_permit"} <= set(job)
            assert job["low_usd"] <= job["typical_usd"] <= job["high_usd"]
        installed = candidate["installed_usd"]
        assert installed["low"] <= installed["typical"] <= installed["high"]
    ids = {candidate["id"] for candidate in found["candidates"]}
    assert {found["like_for_like"], found["recommended"]} - {None} <= ids
    assert found["cautions"]
    assert {source["id"] for source in found["sources"]} == set(tables.names())
    assert all(source["citation"] and source["state"] for source in found["sources"])


BANDS = {"p10", "p50", "p90", "point"}


@pytest.mark.parametrize("name", DEMOS)
def test_json_carries_the_money_of_every_candidate(run, name):
    found = json.loads(run("compare", name, "--json").out, parse_constant=pytest.fail)
    assert {"study_yr", "discount_frac", "price_course", "baseline", "draws"} <= set(found["economics"])
    for candidate in found["candidates"]:
        money = candidate["money"]
        for key in ("installed_usd", "life_cycle_cost_usd", "annualised_usd"):
            assert set(money[key]) == BANDS
            assert money[key]["p10"] <= money[key]["p50"] <= money[key]["p90"]
        # Of the one that stands for its kind; null for all others.
        assert money["chance_cheapest_frac"] is None or money["is_eligible"]
        for key in ("simple_payback_yr", "discounted_payback_yr"):
            assert money[key] is None or money[key] >= 0
        assert money["installed_usd"]["point"] == candidate["installed_usd"]["typical"] - money["rebate_usd"]
    chances = [candidate["money"]["chance_cheapest_frac"] or 0 for candidate in found["candidates"]]
    assert sum(chances) == pytest.approx(1, abs=0.01)
    chosen = next(item for item in found["candidates"] if item["id"] == found["recommended"])
    assert chosen["money"]["is_eligible"]


def test_json_says_never_with_null(run):
    found = json.loads(run("compare", "cold-city-basement", "--json").out)
    never = {item["id"] for item in found["candidates"] if item["money"]["discounted_payback_yr"] is None}
    assert {"gas-tankless-condensing-199", "electric-tank-50"} <= never
    pays = json.loads(run("compare", "large-family-short-vent", "--json").out)
    pays = {item["id"]: item["money"] for item in pays["candidates"]}["gas-tankless-condensing-199"]
    assert 0 < pays["simple_payback_yr"] < pays["discounted_payback_yr"] < 15


def test_the_same_question_has_the_same_answer(run):
    assert run("compare", "oil-house", "--json").out == run("compare", "oil-house", "--json").out


@pytest.mark.parametrize("name", DEMOS)
def test_money_prints_the_whole_account(run, name):
    done = run("money", name)
    assert (done.code, done.err) == (DONE, "")
    assert max(map(len, done.out.splitlines())) <= 100
    for heading in (
        "Today's worth of it all",
        "What would change the answer",
        "What costs least as prices change",
        "Prices and tariffs used",
        "Public money: ask",
    ):
        assert f"\n{heading}" in done.out
    assert sum(line[0] == " " and "[" in line for line in done.out.splitlines() if line) == 1  # one place is here
    assert not {"nan", "inf", "None"} & set(done.out.split())


def test_money_as_json(run):
    found = json.loads(run("money", "cold-city-basement", "--json").out, parse_constant=pytest.fail)
    assert found["rival"] in found["candidates"] and found["recommended"] in found["candidates"]
    assert found["turns"]["quote_turn_usd"] < found["turns"]["quote_now_usd"]
    assert len(found["drivers"]) == 3
    row, column = found["map"]["here"]
    assert found["map"]["electricity_usd_per_kwh"][row] == pytest.approx(0.1582)
    assert found["map"]["cheapest"][row][column] in found["candidates"]
    whole = json.loads(run("compare", "cold-city-basement", "--json").out)
    assert {item["id"]: item["money"] for item in whole["candidates"]} == found["candidates"]
    flat = json.loads(run("money", "all-electric-flat-closet", "--json").out)
    assert flat["map"] is None


def test_a_tariff_is_told_and_a_wrong_one_is_refused(run, tmp_path):
    path = tmp_path / "house.toml"
    tariff = (
        '[[tariffs]]\nfuel = "electricity"\nprice_usd_per_unit = 0.11\ntax_frac = 0.05\n'
        "[[tariffs.windows]]\nprice_usd_per_unit = 0.35\nstart_h = 16\nend_h = 21\n"
    )
    path.write_text(FOUR + tariff, encoding="utf-8")
    assert "$0.35 from 16 to 21 h, $0.11 otherwise, before 5.0% tax" in " ".join(run("money", str(path)).out.split())
    path.write_text(FOUR + tariff.replace("0.11", "11"), encoding="utf-8")
    for command in (["case", "check"], ["compare"], ["money"]):
        done = run(*command, str(path))
        assert (done.code, done.out) == (BAD_INPUT, "")
        assert done.err.startswith("advisor: tariffs.1.price_usd_per_unit = 11")


def test_prices_without_live_asks_nobody(run, monkeypatch, requests_mock):
    monkeypatch.setenv("EIA_API_KEY", "s3cret")
    done = run("prices", "cold-city-basement")
    assert (done.code, done.err) == (DONE, "")
    # Minnesota's residential average of 2025, 10.98 $/Mcf at 1,037 Btu a cubic foot; it was that of 2024.
    assert "natural gas: $1.059 a therm" in done.out
    run("compare"), run("money")
    assert requests_mock.call_count == 0


def _reply(requests_mock, **more):
    power = {"period": "2026", "stateid": "MN", "price": "16.2", "price-units": "cents per kilowatthour"}
    gas = {"period": "2025", "duoarea": "SMN", "value": "12.0", "units": "$/MCF"} | more
    requests_mock.get("/v2/electricity/retail-sales/data/", json={"response": {"data": [power]}})
    requests_mock.get("/v2/natural-gas/pri/sum/data/", json={"response": {"data": [gas]}})


def test_live_prices_can_be_copied_into_the_case(run, monkeypatch, requests_mock, tmp_path):
    monkeypatch.setenv("EIA_API_KEY", "s3cret")
    _reply(requests_mock)
    done = run("prices", "cold-city-basement", "--live")
    assert (done.code, done.err) == (DONE, "")
    assert "s3cret" not in done.out
    path = tmp_path / "house.toml"
    path.write_text(FOUR + done.out.partition("to use them\n")[2], encoding="utf-8")
    prices = read_case(path).prices
    assert prices.electricity_usd_per_kwh == pytest.approx(0.162)
    assert prices.natural_gas_usd_per_therm == pytest.approx(12.0 / 10.37, rel=1e-3)
    found = json.loads(run("prices", "cold-city-basement", "--live", "--json").out)
    assert found["live"]["electricity"]["period"] == "2026"


def test_one_live_price_may_be_missing_but_not_all(run, monkeypatch, requests_mock):
    monkeypatch.setenv("EIA_API_KEY", "s3cret")
    _reply(requests_mock, units="$/GAL")
    done = run("prices", "cold-city-basement", "--live")
    assert done.code == DONE
    assert "not in $/mcf" in done.out.lower()
    requests_mock.get("/v2/electricity/retail-sales/data/", status_code=400)
    done = run("prices", "cold-city-basement", "--live")
    assert (done.code, done.out) == (BAD_INPUT, "")
    assert done.err.count("\n") == 1 and "s3cret" not in done.err


def test_live_prices_need_a_key(run, monkeypatch, requests_mock):
    monkeypatch.delenv("EIA_API_KEY", raising=False)
    monkeypatch.setattr(sys, "stdin", io.StringIO())
    done = run("prices", "--live")
    assert (done.code, done.out, requests_mock.call_count) == (BAD_INPUT, "", 0)
    assert "EIA_API_KEY" in done.err


def test_a_key_may_be_typed_unseen(run, monkeypatch, requests_mock):
    monkeypatch.delenv("EIA_API_KEY", raising=False)
    monkeypatch.setattr(sys, "stdin", SimpleNamespace(isatty=lambda: True))
    monkeypatch.setattr("getpass.getpass", lambda _: "typed")
    _reply(requests_mock)
    assert run("prices", "cold-city-basement", "--live").code == DONE
    assert all(call.qs["api_key"] == ["typed"] for call in requests_mock.request_history)


def test_json_of_a_busy_hour_that_asks_for_nothing(run, tmp_path):
    """A margin over nothing is no number, and JSON knows no infinity."""
    path = tmp_path / "house.toml"
    use = '[[uses]]\nname = "later"\nmixed_gpm = 2\nduration_min = 5\ntogether = 0\n'
    path.write_text(FOUR + use, encoding="utf-8")
    found = json.loads(run("compare", str(path), "--json").out, parse_constant=pytest.fail)
    assert None in {candidate["capacity"]["margin_frac"] for candidate in found["candidates"]}


@pytest.mark.parametrize("name", DEMOS)
def test_a_sheet_for_every_candidate_fits_a_terminal(comparisons, name):
    comparison = comparisons[name]
    for candidate in comparison.candidates:
        readings = readings_for(candidate.heater, comparison.facts, comparison.circumstances, candidate.use)
        for si in (False, True):
            text = readings_text(candidate.heater.title, readings, si=si)
            assert max(map(len, text.splitlines())) <= 100
            assert text.count("read: ____") == len(readings) > 2
            assert "For a licensed installer." in text
            assert not {"nan", "inf", "None"} & set(text.replace(",", " ").split())


def test_commission_reads_what_it_needs_from_the_case(run):
    found = json.loads(run("commission", "--json").out, parse_constant=pytest.fail)
    comparison = json.loads(run("compare", "--json").out)
    assert found["candidate"] == comparison["recommended"]
    for reading in found["readings"]:
        assert reading["what"] and reading["how"] and reading["why"]
        numbers = [reading[key] for key in ("low", "expected", "high") if reading[key] is not None]
        assert numbers == sorted(numbers)
    assert "kPa" in run("commission", "--si").out and "in. w.c." in run("commission").out


def test_commission_of_no_candidate(run):
    done = run("commission", "--candidate", "gas-tank-500")
    assert (done.code, done.out) == (BAD_INPUT, "")
    assert done.err.count("\n") == 1
    assert "'gas-tank-50'" in done.err


def test_case_new_writes_a_starter_that_can_be_compared(run, tmp_path):
    path = tmp_path / "house.toml"
    done = run("case", "new", str(path))
    assert done.code == DONE
    assert str(path) in done.out
    assert path.read_text(encoding="utf-8") == run("case", "new", "-").out
    assert run("case", "check", str(path)).code == DONE
    assert run("compare", str(path)).code == DONE


def test_case_new_never_overwrites(run, tmp_path):
    path = tmp_path / "house.toml"
    path.write_text("mine", encoding="utf-8")
    done = run("case", "new", str(path))
    assert (done.code, done.out) == (BAD_INPUT, "")
    assert "already there" in done.err
    assert path.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("name", ["absent/house.toml", ".", "x" * 300])
def test_case_new_where_nothing_can_be_written(run, tmp_path, monkeypatch, name):
    monkeypatch.chdir(tmp_path)
    done = run("case", "new", name)
    assert (done.code, done.out) == (BAD_INPUT, "")
    assert done.err.count("\n") == 1
    assert list(tmp_path.iterdir()) == []


def test_case_check_tells_what_is_odd_and_what_is_assumed(run, tmp_path):
    path = tmp_path / "house.toml"
    path.write_text(FOUR + "[water]\nstatic_pressure_psi = 95\n", encoding="utf-8")
    done = run("case", "check", str(path))
    assert done.code == DONE
    assert done.out.startswith("The case can be used.\n")
    assert done.out.count("\nOdd: ") == 1
    assert "\nAssumed: household.set_point_f = 120.0: 120 °F, " in done.out


def test_case_schema_is_json(run):
    found = json.loads(run("case", "schema").out)
    assert set(found["required"]) == {"place", "household", "failed", "house"}


def test_case_demos_lists_every_demo(run):
    lines = run("case", "demos").out.splitlines()
    assert [line.split()[0] for line in lines] == DEMOS
    assert all(len(line.split()) > 3 for line in lines)


def test_formula_lists_every_formula(run):
    done = run("formula")
    listed = json.loads(run("formula", "--json").out)
    assert [item["name"] for item in listed] == list(formulas.index())
    assert all(item["source"] and item["state"] and item["summary"] for item in listed)
    for item in listed:
        assert f"\n{item['name']}\n" in f"\n{done.out}"
    assert f"{len(listed)} formulas" in done.out


def test_formula_runs_one_with_units(run):
    # By hand: 190,000 Btu/h over 60 min/h, 8.24 Btu/(gal °F) and 40 °F.
    wanted = 190_000 / (60 * 8.24 * 40)
    done = run("formula", "heated_flow_gpm", "output_btuh=190 kBtu/h", "rise_df=40 F", "--json")
    found = json.loads(done.out)
    assert found["result"] == pytest.approx(wanted, rel=1e-6)
    assert found["unit"] == "gpm"
    assert found["inputs"] == {"output_btuh": pytest.approx(190_000), "rise_df": 40.0}
    assert f"= {wanted:.2f} gpm" in run("formula", "heated_flow_gpm", "output_btuh=190000", "rise_df=40").out
    assert "L/min" in run("formula", "heated_flow_gpm", "--si").out


@pytest.mark.parametrize("value", ["rise_df=0", "rise_df=-5"])
def test_formula_without_an_answer_says_so(run, value):
    assert "no answer for these inputs" in run("formula", "heated_flow_gpm", value).out
    assert (
        json.loads(run("formula", "heated_flow_gpm", value, "--json").out, parse_constant=pytest.fail)["result"] is None
    )


def test_sources_lists_every_table(run):
    done = run("sources")
    listed = json.loads(run("sources", "--json").out)
    assert [item["id"] for item in listed] == tables.names()
    for item in listed:
        assert item["publication"] and item["edition"] and item["locator"] and item["licence"]
        assert item["rows"] > 0
        if item["states"]:
            assert sum(item["states"].values()) == item["rows"]
        assert f"{item['id']} ({item['rows']:,} rows): {item['title']}\n" in done.out


def test_help_imports_nothing_heavy():
    code = (
        "import sys; from advisor.cli import main; main(['--help']); main(['compare', '--help']); main(['--version'])\n"
        "heavy = {'numpy', 'pandas', 'numba', 'streamlit', 'pint', 'pydantic', 'plotly', 'requests'}\n"
        "sys.exit(','.join(sorted(heavy & set(sys.modules))) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")


def test_compare_imports_only_what_it_needs():
    """The bench decides whether a candidate keeps up, and it is compiled: numba is no longer among what stays away."""
    code = (
        "import sys; from advisor.cli import main; main(['compare'])\n"
        "heavy = {'pandas', 'streamlit', 'plotly', 'requests'}\n"
        "sys.exit(','.join(sorted(heavy & set(sys.modules))) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, encoding="utf-8")
    assert (done.returncode, done.stderr) == (0, "")


def _environment(**changed):
    """Our own environment with standard output buffered, as users have it."""
    kept = {key: value for key, value in os.environ.items() if key != "PYTHONUNBUFFERED"}
    return kept | changed


@pytest.mark.parametrize("arguments", [["--help"], ["case", "demos"], ["sources", "--json"]], ids=" ".join)
def test_a_reader_that_has_gone_is_no_fault(arguments):
    read_end, write_end = os.pipe()
    os.close(read_end)
    try:
        done = fresh(*arguments, capture_output=False, stdout=write_end, stderr=subprocess.PIPE, env=_environment())
    finally:
        os.close(write_end)
    assert (done.returncode, done.stderr) == (0, "")


def test_a_terminal_of_few_letters_still_gets_the_answer():
    """Case from standard input, output in the code page of an old terminal."""
    done = fresh("compare", "-", input=FOUR, env=_environment(PYTHONIOENCODING="cp1252"), encoding="cp1252")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("Your water heater\nDuluth, MN\n")
    assert "120 °F" in done.stdout
    assert "? yes" in done.stdout
