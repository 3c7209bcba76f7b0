"""Whatever a case may hold, every heater gets its answer: what a trade cannot follow is a finding, never the end."""

from typing import Literal, get_args, get_origin

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.case.file import case_from
from advisor.case.record import Case
from advisor.core.errors import InputError
from advisor.core.findings import Severity
from advisor.core.verdicts import DOES_NOT_FIT
from advisor.heaters.candidates import heater_from_label
from advisor.heaters.catalogue import catalogue
from advisor.house.work import check_house
from tests.houses import USE, house_of, said

#: Words for what a case takes as text: listed, and not listed anywhere.
TEXTS = {"size_in": ("1/2", "3/4", "1", "5/8", "37"), "tile_liner": ("8x8", "9x9"), "meter_class": ("175", "99")}
SECTIONS = ("household", "house", "gas", "vent", "electrical", "water", "drain")


def bare(annotation):
    """The one type behind ``X | None``."""
    options = [one for one in get_args(annotation) if one is not type(None)]
    return options[0] if type(None) in get_args(annotation) and len(options) == 1 else annotation


def values_of(name, field):
    """What a key may hold, ends of its range more often than else; None where a list or a free text is meant."""
    kind = bare(field.annotation)
    if kind is bool:
        return st.booleans()
    if get_origin(kind) is Literal:
        return st.sampled_from(get_args(kind))
    if kind in {int, float}:
        bounds = {
            key: getattr(one, key) for one in field.metadata for key in ("ge", "gt", "le", "lt") if hasattr(one, key)
        }
        low = bounds.get("ge", bounds.get("gt", 0.0) + 0.01)
        high = bounds.get("le", bounds.get("lt", 10_000.0))
        if kind is int:
            return st.integers(int(low), int(high))
        return st.sampled_from([low, high]) | st.floats(low, high)
    return next((st.sampled_from(texts) for key, texts in TEXTS.items() if name.endswith(key)), None)


def sections(model):
    """Any of a section's keys."""
    known = {name: values_of(name, field) for name, field in model.model_fields.items()}
    return st.fixed_dictionaries({}, optional={name: values for name, values in known.items() if values is not None})


@st.composite
def cases(draw):
    """A record with anything in it that its keys allow, and a label of the user's own."""
    values = {name: draw(sections(bare(Case.model_fields[name].annotation))) for name in SECTIONS}
    like = draw(st.sampled_from(catalogue()))
    label = draw(sections(get_args(Case.model_fields["heaters"].annotation)[0]))
    given_there = {name: number for name, number in label.items() if getattr(like, name, None) is not None}
    needed = ("uef", "fhr_gal", "max_gpm", "rated_volume_gal", "input_btuh", "input_kw")
    own = {name: getattr(like, name) for name in needed if getattr(like, name) is not None} | given_there
    own |= {"title": "Mine", "technology": like.technology.id, "fuel": like.fuel.id}
    failed = {"fuel": draw(st.sampled_from(["natural_gas", "propane", "heating_oil", "electricity"]))}
    return {
        **values,
        "place": {"zip_code": "55811"},
        "household": {"people": 4} | values["household"],
        "failed": failed,
        "house": values["house"] | {"fuels": ["natural_gas", "propane", "heating_oil"]},
        "heaters": [own],
    }


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(cases(), st.lists(st.sampled_from(catalogue()), min_size=3, max_size=3))
def test_every_heater_gets_its_answer(values, heaters):
    try:
        case = case_from(values)
        own = heater_from_label(case.heaters[0], 1)
        house = house_of(case)
    except InputError:
        return  # refused at the door, with a sentence
    for heater in (*heaters, own):
        found = check_house(heater, *house, USE)
        assert found.why and said(found.why)
        for trade in found.trades:
            assert said(trade.findings)
            stops = [one for one in trade.findings if one.severity is Severity.STOP]
            assert not stops or trade.verdict == DOES_NOT_FIT
