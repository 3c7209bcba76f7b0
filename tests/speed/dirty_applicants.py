"""A file of invented applicants, dirty on purpose: ``python tests/speed/dirty_applicants.py 1000000 applicants.csv``.

The same number of rows and seed give the same bytes. Among the rows: empty cells, numbers with dollar signs, commas
and words in them, two ways of writing a day and days that are none, meters and addresses that stand there twice,
spelled otherwise, quoted line ends, formulas, lines with a field too many or too few and with a quote that never
closes.
"""

import sys
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

SEED = 20261128
_BLOCK = 50_000
_ZIPS = ["55811", "55802", "55804", "55806", "55720", "55733", "55792", "56401", "55101", "55404", "05401", "5408"]
_STREETS = ["Alder", "Birch", "Cedar", "Dogwood", "Elm", "Fir", "Hazel", "Juniper", "Larch", "Maple", "Oak", "Willow"]
_KINDS = ["Street", "St", "St.", "Avenue", "Ave", "Road", "Rd", "Lane", "Court"]
_BROKEN = ['{n},"never closed', "{n},too,few", '{n},5" pipe,x', "{n}" + ",x" * 70]


def block(first: int, n_rows: int, seed: int) -> bytes:
    """Some rows as CSV without a heading; the same whatever stands before them."""
    random = np.random.default_rng([seed, first])

    def pick(words, weights=None):
        weights = None if weights is None else np.array(weights) / sum(weights)
        return pa.array(words, pa.string()).take(pa.array(random.choice(len(words), n_rows, p=weights)))

    def number(low, high, digits=0):
        values = np.round(random.uniform(low, high, n_rows), digits)
        return pc.cast(pa.array(values if digits else values.astype(np.int64)), pa.string())

    def join(*parts):
        return pc.binary_join_element_wise(*parts, "")

    def dirty(texts, share, *wrong):
        hit = pa.array(random.random(n_rows) < share)
        return pc.if_else(hit, pick(list(wrong)), texts)

    rows = np.arange(first, first + n_rows)
    install = np.datetime64("2026-01-01") + random.integers(-20, 380, n_rows)
    received = install + random.integers(0, 110, n_rows)
    # One in fifty repeats the meter of a row some way before, one in a hundred its address, in other letters.
    own = np.where(random.random(n_rows) < 0.02, np.maximum(rows - random.integers(1, 5000, n_rows), 1), rows)
    meter = join("G-", pc.utf8_lpad(pc.cast(pa.array(own), pa.string()), 8, "0"))
    meter = pc.if_else(pa.array(own != rows), pc.utf8_lower(meter), meter)
    home = np.where(random.random(n_rows) < 0.01, np.maximum(rows - random.integers(1, 5000, n_rows), 1), rows)
    street = pa.array(_STREETS, pa.string()).take(pa.array(home % len(_STREETS)))
    address = join(pc.cast(pa.array(home), pa.string()), " ", street, " ", pick(_KINDS))
    address = dirty(address, 0.005, '7 "Old" Mill Road', "12 Main\nrear house", "=2+3", "9 Peña Street")
    is_tank = random.random(n_rows) < 0.35
    tank_gal = random.choice([40, 50, 55, 75], n_rows)
    volume = np.where(is_tank, tank_gal, 0.2)
    columns = {
        "application_id": pc.cast(pa.array(rows), pa.string()),
        "received_date": dirty(pc.cast(pa.array(received), pa.string()), 0.01, "", "2026-02-30", "5/3/2026", "soon"),
        "install_date": dirty(pc.cast(pa.array(install), pa.string()), 0.01, "", "3/10/2026", "n/a"),
        "account_active": pick(["yes", "no", "Y", ""], [94, 3, 2, 1]),
        "account_class": pick(["residential", "commercial", ""], [95, 4, 1]),
        "account_fuel": pick(["natural_gas", "Natural Gas", "electricity"], [80, 18, 2]),
        "rate_class": pick(["R1", "R2", "r1", "C4"], [70, 20, 8, 2]),
        "meter_id": dirty(meter, 0.005, "", " "),
        "service_address": address,
        "zip_code": pick(_ZIPS),
        "household_id": join("H", pc.cast(pa.array(home), pa.string())),
        "is_new_construction": pick(["no", "yes", ""], [96, 3, 1]),
        "people": pick(["1", "2", "3", "4", "5", "6", ""], [18, 30, 20, 16, 8, 4, 4]),
        "ami_percent": dirty(number(20, 220), 0.02, "", "unknown"),
        "income_proof": pick(["yes", "no", ""], [40, 55, 5]),
        "existing_fuel": pick(["natural_gas", "propane", "electricity", "gas", "none"], [85, 4, 6, 4, 1]),
        "existing_technology": pick(["gas_storage", "gas tank", "electric_storage", "none"], [80, 12, 7, 1]),
        "existing_status": pick(["failed", "working", ""], [80, 15, 5]),
        "existing_age_yr": dirty(number(1, 30), 0.02, "", "old"),
        "existing_volume_gal": pick(["40", "50", "30", ""], [50, 35, 10, 5]),
        "existing_uef": pick(["", "0.55", "0.58", "0.60"], [70, 10, 10, 10]),
        "new_fuel": pick(["natural_gas", "NG", "propane"], [90, 8, 2]),
        "new_technology": pc.if_else(pa.array(is_tank), "gas_storage", "gas_tankless"),
        "rated_volume_gal": pc.cast(pa.array(volume), pa.string()),
        "nominal_volume_gal": pc.if_else(pa.array(is_tank), pc.cast(pa.array(tank_gal), pa.string()), ""),
        "input_btuh": pc.if_else(
            pa.array(is_tank),
            pick(["36000", "40,000", "65000", "76000"], [30, 30, 35, 5]),
            pick(["160000", "180,000", "199000", "200000", "120000"]),
        ),
        "uef": dirty(
            pc.cast(pa.array(np.round(random.uniform(0.78, 0.98, n_rows), 2)), pa.string()), 0.02, "", "95", "?"
        ),
        "ef": pick(["", "0.67", "0.82"], [94, 3, 3]),
        "first_hour_gal": pc.if_else(pa.array(is_tank), number(45, 110), ""),
        "max_gpm": pc.if_else(pa.array(is_tank), "", number(3, 6, 1)),
        "listing_id": dirty(join("L-", number(100_000, 999_999)), 0.03, ""),
        "self_installed": pick(["no", "yes", "false"], [94, 4, 2]),
        "installer_license": join("P-", number(1_000, 9_999)),
        "installer_license_active": pick(["yes", "no", ""], [95, 3, 2]),
        "permit_id": dirty(join("26-", number(1_000, 9_999)), 0.03, ""),
        "inspection": pick(["passed", "booked", "open", "failed"], [88, 6, 5, 1]),
        "invoice_itemized": pick(["yes", "no"], [97, 3]),
        "invoice_paid": pick(["yes", "no", ""], [95, 3, 2]),
        "invoice_usd": dirty(number(900, 7_500, 2), 0.02, "", "$4,300", "4,150.00", "call us"),
        "electrical_cost_usd": pick(["0", "450", "1,200", ""], [60, 20, 15, 5]),
        "other_incentives_usd": pick(["0", "200", "500", ""], [80, 12, 6, 2]),
        "prior_rebate_date": pick(["", "2012-05-01", "2019-08-15"], [97, 2, 1]),
        "prior_rebates_usd": pick(["0", "300"], [97, 3]),
        "load_control": pick(["no", "yes"], [80, 20]),
        "notes": dirty(pick(["", "ok", "see file"], [90, 8, 2]), 0.01, "-1+1", "@home", "çé"),
    }
    lines = pc.binary_join_element_wise(*(_cell(texts) for texts in columns.values()), ",")
    heading = [",".join(columns)] if first == 1 else []
    return _broken([*heading, *lines.to_pylist()], random)


def _cell(texts: pa.Array) -> pa.Array:
    """Text as a cell: in quotes only where it must be."""
    quoted = pc.binary_join_element_wise('"', pc.replace_substring(texts, '"', '""'), '"', "")
    return pc.if_else(pc.match_substring_regex(texts, '[",\n]'), quoted, texts)


def _broken(lines: list[str], random: np.random.Generator) -> bytes:
    """The rows as lines, a line that is no row put in at one of a thousand places."""
    for at in np.flatnonzero(random.random(len(lines)) < 0.001)[::-1]:
        if at:
            lines.insert(at, _BROKEN[at % len(_BROKEN)].format(n=at))
    return ("\n".join(lines) + "\n").encode()


def write(n_rows: int, path: Path, seed: int = SEED) -> None:
    """Write so many rows (some hundredths of a percent more, with the broken ones)."""
    with path.open("wb") as stream:
        for first in range(1, n_rows + 1, _BLOCK):
            stream.write(block(first, min(_BLOCK, n_rows - first + 1), seed))


if __name__ == "__main__":
    write(int(sys.argv[1]), Path(sys.argv[2]))
