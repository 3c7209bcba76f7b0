"""Fits the first three rows of the table ``people_to_gallons`` anew and prints the energy beside the survey's.

``python tests/reference/fit_use.py``, after anything that moves cold water, air or the year's energy. Half of the
weight lies on the measured homes (their slope only: they stand in one cold city, so the level is the survey's), half on
the survey's electric tanks by people and climate, each group by its number of homes.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from advisor.core import tables  # noqa: E402
from advisor.demand import daily_volume  # noqa: E402
from tests.reference import test_energy_plausibility as survey  # noqa: E402

FIGURES = ("household_gpd", "person_gpd", "climate_per_10_df")
TABLE = {row["figure"]: row["value_dimensionless"] for row in tables.load("people_to_gallons").rows()}
CELLS = survey.electric_cells()
HOMES = tables.load_from(Path(__file__).parent, "measured_homes")


def misses(figures: np.ndarray) -> np.ndarray:
    """Weighted logarithms of ours over the survey's energy, and of the line over the measured homes."""
    use = TABLE | dict(zip(FIGURES, figures, strict=True))
    daily_volume._figure = use.__getitem__
    ratios = np.log([survey.ours_over_survey(row, 2009) for row in CELLS])
    weight = np.sqrt([row["homes"] for row in CELLS])
    line = np.log(daily_volume.line_gpd(HOMES["people"]) / HOMES["hot_gpd"])
    return np.concatenate(
        [ratios * weight / np.sqrt((weight**2).sum()), (line - line.mean()) / np.sqrt(len(HOMES["people"]))]
    )


def fitted() -> np.ndarray:
    """Gauss and Newton's steps from the table's own figures."""
    figures = np.array([TABLE[name] for name in FIGURES])
    for _ in range(8):
        here = misses(figures)
        slopes = np.stack(
            [(misses(figures + step) - here) / step.sum() for step in np.diag(np.abs(figures) * 1e-4)], axis=1
        )
        figures = figures - np.linalg.lstsq(slopes, here, rcond=None)[0]
    return figures


if __name__ == "__main__":
    best = fitted()
    for name, value in zip(FIGURES, best, strict=True):
        print(f"{name:20} {value:8.4f}   in the table {TABLE[name]:g}")
    misses(np.array([TABLE[name] for name in FIGURES]))
    print("Ours over the survey, with the table's figures:")
    for row in CELLS:
        name = f"{row['people']} {row['climate']}"
        print(f"  {name:10} {row['homes']:4.0f} homes  {survey.ours_over_survey(row, 2009):.2f}")
