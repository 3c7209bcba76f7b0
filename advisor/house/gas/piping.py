"""The gas piping check, gathered: a house's pipe, the methods, and the ways out."""

from __future__ import annotations

from advisor.house.gas.changes import GasPrices, PriceRange, WayOut, apply
from advisor.house.gas.pressure import GasCheck, PressureResult, by_pressure, check
from advisor.house.gas.remedies import ways_out
from advisor.house.gas.simple_tree import DefaultTree, default_tree
from advisor.house.gas.sizing import TableSizing, by_branch_length, by_hybrid, by_longest_length
from advisor.house.gas.tree import HEATER, HEATER_BRANCH, SOURCE, TRUNK, GasOutlet, GasSegment, GasSystem, LineRegulator

__all__ = [
    "HEATER",
    "HEATER_BRANCH",
    "SOURCE",
    "TRUNK",
    "DefaultTree",
    "GasCheck",
    "GasOutlet",
    "GasPrices",
    "GasSegment",
    "GasSystem",
    "LineRegulator",
    "PressureResult",
    "PriceRange",
    "TableSizing",
    "WayOut",
    "apply",
    "by_branch_length",
    "by_hybrid",
    "by_longest_length",
    "by_pressure",
    "check",
    "default_tree",
    "ways_out",
]
