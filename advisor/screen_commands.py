"""``advisor screen`` and ``advisor rules``: a program's applicants screened, and its rule set checked and explained."""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.core.errors import InputError

if TYPE_CHECKING:
    from advisor.screening.record import Order

DONE, BAD_INPUT, DIFFERS = 0, 2, 3


def add_commands(commands: Any) -> None:
    """Register both commands with the parser."""
    screen = commands.add_parser("screen", help="a rebate program: every applicant's decision, amount and savings")
    screen.add_argument("applicants", nargs="?", metavar="APPLICANTS", help="a CSV or Parquet file")
    screen.add_argument("--rules", metavar="RULES.toml", help="the program's rule set")
    screen.add_argument("--out", metavar="FOLDER", help="where decisions.csv, rejects.csv and record.json go")
    screen.add_argument("--history", metavar="FILE", help="rebates of the past: the same keys, and prior_rebate_date")
    screen.add_argument("--mapping", metavar="FILE.toml", help="headings, units, encoding and separator of the file")
    screen.add_argument("--resume", action="store_true", help="go on where a run was cut short")
    screen.add_argument("--scheduler", metavar="tcp://HOST:PORT", help="work on a Dask cluster (the extra 'cluster')")
    screen.add_argument("--parquet", action="store_true", help="the decisions as a folder of Parquet files too")
    screen.add_argument("--demo", action="store_true", help="the shipped applicants and rule set")
    screen.add_argument("--verify", metavar="record.json", help="run again what a record tells of, and compare")
    screen.add_argument("--case", metavar="house.toml", help="one household's case: what a program would ask of it")
    screen.add_argument("--chunk-rows", type=int, metavar="N", help="rows that are held at a time")
    screen.add_argument("--processes", type=int, metavar="N", help="how many work at once")
    screen.add_argument(
        "--what-if",
        action="append",
        metavar="PLACE=NUMBER",
        help="move a number of the rules: measures.M1.usd=400",
    )
    screen.add_argument("--json", action="store_true", help="print the record as JSON")
    screen.add_argument("--language", choices=["en", "es"], default="en", help="of every sentence; English as a rule")
    screen.set_defaults(run=_screen)

    rules = commands.add_parser("rules", help="check a program's rule set, say it in words, list the columns")
    actions = rules.add_subparsers(title="actions", metavar="ACTION", required=True)
    check = actions.add_parser("check", help="what is wrong: never met, never reached, overlapping, days left out")
    check.add_argument("file", metavar="FILE")
    check.set_defaults(run=_check)
    explain = actions.add_parser("explain", help="the rule set in plain words")
    explain.add_argument("file", metavar="FILE")
    explain.add_argument("--language", choices=["en", "es"], default="en", help="English as a rule")
    explain.set_defaults(run=_explain)
    columns = actions.add_parser("columns", help="every column of a file of applicants; --json as JSON Schema")
    columns.add_argument(
        "file", nargs="?", metavar="FILE", help="a rule set: then only what it reads, and for which rule"
    )
    columns.add_argument("--json", action="store_true", help="print as JSON Schema")
    columns.set_defaults(run=_columns)


def _screen(options: argparse.Namespace) -> int:
    if options.verify:
        return _verify(options)
    if options.case:
        return _case(options)
    from advisor.core import paths
    from advisor.screening.explaining import summary_text
    from advisor.screening.record import screen

    if options.demo:
        options.applicants = options.applicants or str(paths.DATA / "programs" / "quillmarsh.csv")
        options.rules = options.rules or str(paths.DATA / "programs" / "quillmarsh.toml")
    for name, value in (("APPLICANTS", options.applicants), ("--rules", options.rules)):
        if not value:
            raise InputError(
                name, None, "this is missing", "write advisor screen APPLICANTS --rules RULES.toml --out FOLDER"
            )
    if options.what_if:
        return _what_if(options)
    if not options.out and not options.demo:
        raise InputError("--out", None, "this is missing", "name the folder of the output")
    with tempfile.TemporaryDirectory(prefix="advisor-") as folder:
        order = _order(options, Path(options.out) if options.out else Path(folder) / "demo")
        record = screen(order, _progress(order))
    if options.json:
        print(json.dumps(record, indent=2, ensure_ascii=False))
    else:
        print(summary_text(record, options.language))
        if options.out:
            print(f"\nWrote decisions.csv, rejects.csv and record.json to {options.out} in {record['seconds']:.1f} s.")
    return DONE


def _what_if(options: argparse.Namespace) -> int:
    from advisor.screening.explaining import what_if_text
    from advisor.screening.what_if import what_if

    found = what_if(_order(options, Path()), options.what_if)
    print(json.dumps(found, indent=2, ensure_ascii=False) if options.json else what_if_text(found, options.language))
    return DONE


def _order(options: argparse.Namespace, out: Path) -> Order:
    from advisor.screening.record import Order
    from advisor.screening.run import CHUNK_ROWS

    return Order(
        applicants=Path(options.applicants),
        rules=Path(options.rules),
        out=out,
        history=Path(options.history) if options.history else None,
        mapping=Path(options.mapping) if options.mapping else None,
        chunk_rows=CHUNK_ROWS if options.chunk_rows is None else options.chunk_rows,
        processes=options.processes,
        resume=options.resume,
        scheduler=options.scheduler,
        parquet=options.parquet,
        language=options.language,
    )


def _progress(order: Order) -> Any:
    """A line that counts rows, while a person is watching."""
    done = {"keys": 0, "decisions": 0}

    def show(stage: str, rows: int) -> None:
        done[stage] += rows
        if sys.stderr.isatty():
            end = "\r"
            print(f"  {stage}: {done[stage]:>12,} rows", end=end, file=sys.stderr, flush=True)

    return show


def _verify(options: argparse.Namespace) -> int:
    from advisor.screening.record import verify

    differs = verify(Path(options.verify))
    if not differs:
        print("It repeats: the same input gives the same output, byte for byte.")
        return DONE
    print(f"It does not repeat. Different: {', '.join(differs)}.", file=sys.stderr)
    return DIFFERS


def _case(options: argparse.Namespace) -> int:
    from advisor.case.file import read_case
    from advisor.core import paths
    from advisor.screening.from_case import case_text

    print(case_text(read_case(options.case), Path(options.rules or paths.DATA / "programs" / "quillmarsh.toml")))
    return DONE


def _check(options: argparse.Namespace) -> int:
    from advisor.core.findings import Severity
    from advisor.report.words import say
    from advisor.screening.checking import check
    from advisor.screening.rules import read_rules

    found = check(read_rules(options.file))
    for one in found:
        print(say(one))
    if not found:
        print("The rule set can be used, and nothing in it is odd.")
    return DIFFERS if any(one.severity is Severity.STOP for one in found) else DONE


def _explain(options: argparse.Namespace) -> int:
    from advisor.screening.explaining import explained
    from advisor.screening.rules import read_rules

    print(explained(read_rules(options.file), options.language))
    return DONE


def _columns(options: argparse.Namespace) -> int:
    from advisor.screening.dictionary import columns, schema
    from advisor.screening.rules import read_rules

    needed = read_rules(options.file).needed() if options.file else {}
    if options.json:
        print(json.dumps(schema(needed), indent=2, ensure_ascii=False))
        return DONE
    for column in columns().values():
        if options.file and column.name not in needed:
            continue
        kind = " ".join(column.words) if column.words else column.unit_label or column.kind
        rules = f" [{', '.join(needed[column.name])}]" if needed.get(column.name) else ""
        print(f"{column.name:<26}{kind}\n{'':<26}{column.meaning}{rules}")
    return DONE
