"""Classes and fuels: one record each, whatever is done with it; the code asks a record, never its name."""

import ast
import copy
import pickle
from dataclasses import replace
from pathlib import Path

import pytest

import advisor
from advisor.case.file import case_schema
from advisor.case.record import Label, Prices
from advisor.core import tables
from advisor.core.errors import InputError, TableError
from advisor.core.kinds import Fuel, Kind, Technology, electricity, piped_gas
from advisor.heaters.annual_energy import parameters_of
from advisor.heaters.catalogue import by_id
from advisor.heaters.hand_sizing import rated_recovery_gph
from advisor.report import words

PACKAGE = Path(advisor.__file__).parent
#: A case starts with a gas house, and a label alone is read in an electric one; the ids are what a file says. A gas
#: tree names what flows in it.
MAY_NAME = {
    "case/file.py": {"natural_gas"},
    "web/label_form.py": {"electricity"},
    "web/gas_page.py": {"propane"},
    # A heater that failed is one of four kinds, and one of those is a class of its own.
    **dict.fromkeys(
        ("case/record.py", "heaters/candidates.py", "house/rules/scope.py", "web/draft.py"), {"boiler_tank"}
    ),
}
KINDS = (*Technology.all(), *Fuel.all())


@pytest.mark.parametrize("kind", KINDS, ids=str)
def test_there_is_one_record_of_each(kind):
    assert type(kind).named(kind.id) is kind
    assert pickle.loads(pickle.dumps(kind)) is kind
    assert copy.deepcopy(kind) is kind and str(kind) == kind.id


@pytest.mark.parametrize("kind", KINDS, ids=str)
@pytest.mark.parametrize("language", ["en", "es"])
def test_every_kind_has_a_word_in_both_languages(kind, language):
    assert words.has(f"{type(kind).__name__.lower()}.{kind.id}", language)


def test_a_kind_without_a_word_is_called_by_its_table():
    class Sort(Kind):
        """No catalogue knows such kinds."""

    assert words.kind_word(Sort("peat", "bog peat"), "es") == "bog peat"


@pytest.mark.parametrize(("kind", "field"), [(Technology, "technology"), (Fuel, "fuel")])
def test_an_unknown_name_is_one_sentence(kind, field):
    with pytest.raises(InputError) as caught:
        kind.named("steam")
    assert (caught.value.field, caught.value.value) == (field, "steam")
    assert all(one.id in caught.value.fix for one in kind.all())


def test_a_case_reads_ids_and_writes_ids():
    label = Label(title="Quoted", technology="electric_tankless", fuel="electricity", uef=0.96, max_gpm=3, input_kw=24)
    assert label.technology is Technology.named("electric_tankless") and label.fuel is electricity()
    assert label.model_dump()["technology"] == "electric_tankless"
    assert label.model_dump(mode="json")["fuel"] == "electricity"
    assert Label.model_validate(label.model_dump()) == label


def test_the_schema_lists_the_tables():
    label = case_schema()["$defs"]["Label"]["properties"]
    assert label["technology"]["enum"] == tables.load("technologies")["id"].tolist()
    assert label["fuel"]["enum"] == tables.load("fuels")["id"].tolist()


def test_electricity_is_the_one_fuel_that_is_not_burned_and_one_gas_comes_by_main():
    assert [fuel for fuel in Fuel.all() if not fuel.is_burned] == [electricity()]
    assert [fuel for fuel in Fuel.all() if fuel.is_fuel_gas and not fuel.is_delivered] == [piped_gas()]
    assert [fuel.gas for fuel in Fuel.all()] == ["natural", None, "propane", None]


@pytest.mark.parametrize("fuel", Fuel.all(), ids=str)
def test_every_fuel_has_its_keys_in_the_case(fuel):
    assert fuel.price_key in Prices.model_fields
    assert fuel.account_key is None or fuel.account_key in Prices.model_fields


def test_a_fuel_without_keys_in_the_case_is_told_by_the_file_that_lacks_them():
    new = replace(electricity(), id="kerosene", price_unit="usd_per_gal", account_key="kerosene_fixed_usd_per_mo")
    with pytest.raises(TableError, match="add kerosene_usd_per_gal to Prices in advisor/case/record.py"):
        Prices().of(new)
    with pytest.raises(TableError, match="add kerosene_fixed_usd_per_mo to Prices"):
        Prices().account_of(new)
    assert Prices(electricity_usd_per_kwh=0.2).of(electricity()) == 0.2
    assert Prices(gas_fixed_usd_per_mo=9).account_of(piped_gas()) == 9 and Prices().account_of(electricity()) is None


@pytest.mark.parametrize("technology", Technology.all(), ids=str)
def test_a_class_does_not_contradict_itself(technology):
    burns = any(fuel.is_burned for fuel in technology.fuels)
    assert technology.fuels and burns == all(fuel.is_burned for fuel in technology.fuels)
    has_flame = burns and not technology.is_boiler_heated
    assert burns == (technology.usual_recovery_frac is not None) and has_flame == (technology.vent != "none")
    assert has_flame == (technology.vent_job is not None)
    assert burns or not (technology.is_condensing or technology.pilot_btuh)
    assert technology.is_heat_pump or not technology.has_backup_element
    assert not (technology.is_heat_pump and burns)


@pytest.mark.parametrize(
    ("heater_id", "usual"),
    [
        ("gas-tank-50", 0.78),  # median of listings, seen second-hand; the others from memory, unverified
        ("gas-tank-condensing-50", 0.90),
        ("oil-tank-32", 0.80),
    ],
)
def test_the_usual_recovery_efficiency_stands_in_where_the_label_gives_none(heater_id, usual):
    heater = by_id(heater_id)
    assert heater.usual_recovery_frac == heater.recovery_frac
    silent = replace(heater, recovery_frac=None)
    assert silent.usual_recovery_frac == usual
    # The first hour and a year's energy rest on the same one.
    said = replace(heater, recovery_frac=usual)
    assert rated_recovery_gph(silent) == rated_recovery_gph(said)
    assert parameters_of(silent) == parameters_of(said)


def _named(path):
    """Ids of classes and fuels that stand in the code as words of their own."""
    ids = {kind.id for kind in KINDS}
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return {node.value for node in ast.walk(tree) if isinstance(node, ast.Constant) and node.value in ids}


def test_no_code_asks_for_a_class_or_a_fuel_by_its_name():
    # What flows in a gas pipe has names of its own, one of which is a fuel's too; so have the columns of applicants.
    modules = [path for path in PACKAGE.rglob("*.py") if path.parent.name not in {"gas", "screening"}]
    found = {path.relative_to(PACKAGE).as_posix(): _named(path) for path in modules}
    assert {name: ids for name, ids in found.items() if ids} == MAY_NAME
