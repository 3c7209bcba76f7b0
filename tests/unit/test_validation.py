"""Values are refused in one sentence that names the field."""

import math

import pytest

from advisor.core import validation
from advisor.core.errors import InputError, OutOfRangeError


def test_good_values_pass_through():
    assert validation.positive("a.b", 3, "ft") == 3.0
    assert validation.not_negative("a.b", 0, "ft") == 0.0
    assert validation.between("a.b", 5, 1, 5, "ft") == 5.0
    assert validation.one_of("a.b", "x", ["y", "x"]) == "x"
    assert validation.in_table("a.b", 1, 2.5, "1 to 2 ft") == 2.5


@pytest.mark.parametrize("value", [0, -1, math.nan, math.inf])
def test_positive_refuses(value):
    with pytest.raises(InputError, match="house.length_ft"):
        validation.positive("house.length_ft", value, "ft")


@pytest.mark.parametrize("value", [-0.1, 10.1, math.nan])
def test_between_refuses_and_states_the_range(value):
    with pytest.raises(InputError, match="0 to 10 ft"):
        validation.between("house.length_ft", value, 0, 10, "ft")


def test_open_range_says_at_least():
    with pytest.raises(InputError, match="at least 0 ft"):
        validation.not_negative("house.length_ft", -2, "ft")


def test_unknown_word_lists_the_known_ones():
    with pytest.raises(InputError, match="write one of a, b"):
        validation.one_of("vent.kind", "c", ["b", "a"])


def test_outside_a_table_is_out_of_range():
    with pytest.raises(OutOfRangeError, match="6 to 20 ft"):
        validation.in_table("vent.height_ft", 99, math.nan, "6 to 20 ft")
