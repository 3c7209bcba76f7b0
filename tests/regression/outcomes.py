"""What every demo house comes to, a line a candidate: verdicts, prices, energy, cost over the years, and the pick.

``python tests/regression/outcomes.py`` writes ``outcomes.csv`` anew. A line changes only together with the reason for
it in CHANGELOG.md.
"""

from __future__ import annotations

import csv
import io
from datetime import date
from pathlib import Path

from advisor.case.file import read_case
from advisor.comparison import compare
from advisor.core import paths
from advisor.report.as_json import comparison_dict

FILE = Path(__file__).parent / "outcomes.csv"
#: Prices and federal rules are those of this day.
TODAY = date(2026, 11, 28)
DEMOS = sorted(path.stem for path in paths.CASES.glob("*.toml"))


def rows_of(demo: str) -> list[dict[str, str]]:
    """A demo house as text, to the cent, as JSON gives it."""
    found = comparison_dict(compare(read_case(paths.CASES / f"{demo}.toml"), today=TODAY))
    rows = []
    for candidate in found["candidates"]:
        energy, money = candidate["energy"], candidate["money"]
        installed, over_the_years = candidate["installed_usd"], money["life_cycle_cost_usd"]
        part = [
            word
            for word, holds in (
                ("pick", found["recommended"] == candidate["id"]),
                ("same again", found["like_for_like"] == candidate["id"]),
                ("baseline", found["economics"]["baseline"] == candidate["id"]),
            )
            if holds
        ]
        cells = {
            "demo": demo,
            "candidate": candidate["id"],
            "part": " + ".join(part),
            "keeps_up": candidate["capacity"]["verdict"],
            "by_hand": candidate["capacity"]["analytic_verdict"],
            "deliverable": candidate["capacity"]["deliverable"],
            "needed": candidate["capacity"]["needed"],
            "house": candidate["house"]["verdict"],
            "jobs": " ".join(job["job"] for job in candidate["house"]["work"]),
            "days": candidate["lead_time"]["days"],
            "installed_low_usd": installed["low"],
            "installed_typical_usd": installed["typical"],
            "installed_high_usd": installed["high"],
            "therm_per_yr": energy["therm_per_yr"],
            "kwh_per_yr": energy["kwh_per_yr"],
            "propane_gal_per_yr": energy["propane_gal_per_yr"],
            "oil_gal_per_yr": energy["oil_gal_per_yr"],
            "running_usd_per_yr": candidate["running_cost_usd_per_yr"],
            "co2_lb_per_yr": candidate["co2_lb_per_yr"],
            "over_years_usd": over_the_years["point"],
            "over_years_p10_usd": over_the_years["p10"],
            "over_years_p90_usd": over_the_years["p90"],
            "chance_cheapest_frac": money["chance_cheapest_frac"],
        }
        rows.append({name: "" if cell is None else str(cell) for name, cell in cells.items()})
    return rows


def as_csv(rows: list[dict[str, str]]) -> str:
    """The lines of the file."""
    text = io.StringIO()
    writer = csv.DictWriter(text, fieldnames=list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


if __name__ == "__main__":
    FILE.write_text(as_csv([row for demo in DEMOS for row in rows_of(demo)]), encoding="utf-8")
