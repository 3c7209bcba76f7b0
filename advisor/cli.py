"""The command line: the same answers for people who live in a terminal.

Nothing heavy is imported before the command that needs it: ``advisor --help`` must answer at once.
"""

from __future__ import annotations

import argparse
import errno
import io
import math
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from typing import TYPE_CHECKING, Any, NoReturn

from advisor import __version__, screen_commands
from advisor.core.errors import AdvisorError, InputError

if TYPE_CHECKING:
    from advisor.case.record import Case
    from advisor.comparison import Comparison

DONE, OUR_FAULT, BAD_INPUT, STOPPED = 0, 1, 2, 130
DEMO = "cold-city-basement"


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        print(f"{self.prog}: {message}. '{self.prog} --help' shows the usage.", file=sys.stderr)
        raise SystemExit(BAD_INPUT)


def build_parser() -> argparse.ArgumentParser:
    """All commands and options."""
    parser = _Parser(prog="advisor", description="Compares replacements for a failed household water heater.")
    parser.add_argument("--version", action="version", version=f"advisor {__version__}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)

    compare = commands.add_parser("compare", help="compare every candidate for one house")
    compare.add_argument(
        "case",
        nargs="?",
        default=DEMO,
        metavar="CASE.toml",
        help="a case file, the name of a demo house, or - to read one",
    )
    compare.add_argument("--json", action="store_true", help="print the whole comparison as JSON")
    compare.add_argument("--offers", metavar="FILE.csv", help="offers of a spreadsheet, instead of the case's own")
    compare.add_argument("--si", action="store_true", help="show amounts in SI units")
    compare.add_argument("--all", action="store_true", help="show every candidate, not one of each kind")
    compare.add_argument(
        "--wait",
        action="store_true",
        help="on a machine where the bench has not run yet, wait for it; else the hand method answers at once",
    )
    compare.set_defaults(run=_compare)

    bench = commands.add_parser("bench", help="the federal tests and your busy morning and year, run on the bench")
    bench.add_argument("case", nargs="?", default=DEMO, metavar="CASE.toml", help="as for compare")
    bench.add_argument("--candidate", metavar="ID", help="only this one; one of each kind if not given")
    bench.add_argument("--all", action="store_true", help="every candidate, not one of each kind")
    bench.add_argument("--json", action="store_true", help="print as JSON")
    bench.add_argument("--si", action="store_true", help="show amounts in SI units")
    bench.add_argument("--plot", metavar="FILE.html", help="also write the traces as a page of charts and tables")
    bench.set_defaults(run=_bench)

    commission = commands.add_parser("commission", help="the readings to take when a candidate is installed")
    commission.add_argument("case", nargs="?", default=DEMO, metavar="CASE.toml", help="as for compare")
    commission.add_argument("--candidate", metavar="ID", help="its id; the recommended one if not given")
    commission.add_argument("--json", action="store_true", help="print as JSON")
    commission.add_argument("--si", action="store_true", help="show amounts in SI units")
    commission.set_defaults(run=_commission)

    money = commands.add_parser("money", help="the whole account: every year, what would change it, the map of prices")
    money.add_argument("case", nargs="?", default=DEMO, metavar="CASE.toml", help="as for compare")
    money.add_argument("--json", action="store_true", help="print as JSON")
    money.set_defaults(run=_money)

    turning = commands.add_parser("turns", help="which inputs, each alone, turn the pick; unverified ones named first")
    turning.add_argument("case", nargs="?", default=DEMO, metavar="CASE.toml", help="as for compare")
    turning.add_argument("--json", action="store_true", help="print as JSON")
    turning.set_defaults(run=_turns)

    document = commands.add_parser(
        "document", help="what is handed over: a page for the customer, pages for the installer"
    )
    document.add_argument("case", nargs="?", default=DEMO, metavar="CASE.toml", help="as for compare")
    document.add_argument(
        "-o", "--output", required=True, metavar="FILE", help="where to write it: FILE.pdf or FILE.html"
    )
    document.add_argument(
        "--candidate", metavar="ID", help="the heater it is about; the one advised or offered if not given"
    )
    document.add_argument("--paper", choices=["letter", "a4"], default="letter", help="US Letter (usual) or A4")
    document.add_argument("--language", choices=["en", "es"], default="en", help="English (usual) or Spanish")
    document.add_argument("--offers", metavar="FILE.csv", help="offers of a spreadsheet, instead of the case's own")
    document.add_argument("--si", action="store_true", help="show amounts in SI units")
    document.add_argument("--date", metavar="DAY", help="its date, as 2026-11-28; today if not given")
    document.set_defaults(run=_document)

    prices = commands.add_parser("prices", help="the energy prices used for a house; --live asks for newer ones")
    prices.add_argument("case", nargs="?", default=DEMO, metavar="CASE.toml", help="as for compare")
    prices.add_argument(
        "--live",
        action="store_true",
        help="ask the Energy Information Administration; needs its free key in EIA_API_KEY, or typed",
    )
    prices.add_argument("--json", action="store_true", help="print as JSON")
    prices.set_defaults(run=_prices)

    serve = commands.add_parser("serve", help="open the app in a browser, on this machine only unless --host says else")
    serve.add_argument("--port", type=int, metavar="N", help="port; the next free one from 8501 if not given")
    serve.add_argument("--book", metavar="FOLDER", help="keep jobs there, a file each; nothing is stored without it")
    serve.add_argument(
        "--host",
        metavar="ADDRESS",
        default="127.0.0.1",
        help="address to listen at; beyond this machine each browser needs a one-time code",
    )
    serve.add_argument("--no-browser", action="store_true", help="only print the address")
    serve.set_defaults(run=_serve)

    case = commands.add_parser("case", help="write a starter case, check one, or print the schema")
    actions = case.add_subparsers(title="actions", metavar="ACTION", required=True)
    new = actions.add_parser("new", help="write a commented starter case")
    new.add_argument("file", metavar="FILE", help="where to write it; - prints it")
    new.set_defaults(run=_case_new)
    check = actions.add_parser("check", help="read a case file and say what is wrong or odd")
    check.add_argument("file", metavar="FILE")
    check.set_defaults(run=_case_check)
    schema = actions.add_parser("schema", help="print the JSON Schema of a case")
    schema.set_defaults(run=_case_schema)
    demos = actions.add_parser("demos", help="list the demo houses")
    demos.set_defaults(run=_case_demos)

    screen_commands.add_commands(commands)

    formula = commands.add_parser("formula", help="list every published formula, or run one with units")
    formula.add_argument("name", nargs="?", help="the formula")
    formula.add_argument("values", nargs="*", metavar="KEY=VALUE", help="inputs, with or without a unit")
    formula.add_argument("--si", action="store_true", help="show amounts in SI units")
    formula.add_argument("--json", action="store_true", help="print as JSON")
    formula.set_defaults(run=_formula)

    sources = commands.add_parser("sources", help="list every table with its edition and how far it was verified")
    sources.add_argument("--json", action="store_true", help="print as JSON")
    sources.set_defaults(run=_sources)
    return parser


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit code is 0, 1 (our fault), 2 (bad input) or 130 (stopped by the user)."""
    _stand_in_for_closed()
    if isinstance(sys.stdout, io.TextIOWrapper):
        # A terminal that knows no ✓ or ° shows a question mark.
        sys.stdout.reconfigure(errors="replace")
    try:
        code = _run(arguments)
        sys.stdout.flush()
        return code
    except BrokenPipeError:
        # The reader (head, less) has gone; nothing is wrong.
        _forget_output()
        return DONE
    except OSError as error:
        _forget_output()
        _tell(f"advisor: the output cannot be written: {error.strerror or error}; make room for it.")
        return OUR_FAULT


def _stand_in_for_closed() -> None:
    """Whoever closes the output or the errors does not want them."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115, PTH123


def _forget_output() -> None:
    """What is still buffered has nowhere to go, and Python would try once more at the end."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _run(arguments: Sequence[str] | None) -> int:
    options = argparse.Namespace()
    try:
        words = sys.argv[1:] if arguments is None else arguments
        if list(words[:1]) == ["figure"]:
            raise InputError("command", "figure", "it bears another name now", "write 'advisor formula'")
        options = build_parser().parse_args(words)
        return int(options.run(options))
    except SystemExit as stop:
        return int(stop.code or 0) if not isinstance(stop.code, str) else OUR_FAULT
    except AdvisorError as error:
        _tell(f"advisor: {_in_the_language_of(options, error)}")
        return BAD_INPUT
    except KeyboardInterrupt:
        return STOPPED
    except OSError as error:
        if isinstance(error, BrokenPipeError) or error.errno == errno.ENOSPC:
            raise
        return _should_not_have(error)
    except Exception as error:  # the last line of defence: a user never sees a traceback
        return _should_not_have(error)


def _in_the_language_of(options: argparse.Namespace, error: AdvisorError) -> str:
    if getattr(options, "language", "en") == "en":
        return str(error)
    from advisor.report.words import refused

    return refused(error, options.language)


def _should_not_have(error: Exception) -> int:
    _tell(f"advisor: this should not have happened ({type(error).__name__}: {error}). Please report it.")
    return OUR_FAULT


def _tell(sentence: str) -> None:
    """Say it among the errors; where they go nowhere, the exit code must do."""
    with suppress(OSError):
        print(sentence, file=sys.stderr, flush=True)


def _read(name: str) -> Case:
    """A case from a file, a demo's name, or standard input."""
    from advisor.case.file import MAX_FILE_BYTES, parse_case, read_case
    from advisor.core import paths

    if name == "-":
        if sys.stdin is None:
            raise InputError("file", name, "nothing comes in", "send a case into it, or name a file")
        return parse_case(sys.stdin.buffer.read(MAX_FILE_BYTES + 1))
    demos = {path.stem: path for path in paths.CASES.glob("*.toml")}
    return read_case(demos.get(name, name))


def _read_offered(options: argparse.Namespace) -> Case:
    """The case, with the offers of a spreadsheet where one is given."""
    from pathlib import Path

    from advisor.case.offer_csv import with_offers

    case = _read(options.case)
    return with_offers(case, Path(options.offers)) if options.offers else case


def _print_json(value: Any) -> None:
    import json

    print(json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False))


def _prepare_bench() -> None:
    """Have the bench ready. It takes a while once on a machine, or in every run where it cannot be kept."""
    from advisor.bench import code_store, machine_code
    from advisor.report.words import say

    if machine_code.is_ready():
        return
    if not code_store.has_room():
        print(f"advisor: {say('bench.not_kept')}", file=sys.stderr)
    elif sys.stderr.isatty():
        print(f"advisor: {say('bench.first_time')}", file=sys.stderr)
    machine_code.prepare()


def _how_bench_stands() -> str:
    """Have the bench prepared in the background, for the next run, and say how that stands."""
    from advisor.bench import code_store, machine_code
    from advisor.report.words import say

    stands = machine_code.prepare_in_background()
    if stands == machine_code.PREPARING:
        return say("bench.by_hand.preparing")
    if stands == machine_code.UNKEPT:
        return say("bench.by_hand.not_kept")
    return say("bench.by_hand.failed", why=code_store.failure())


def _compare(options: argparse.Namespace) -> int:
    from advisor.bench import machine_code
    from advisor.comparison import compare
    from advisor.report.as_json import comparison_dict
    from advisor.report.text import comparison_text

    case = _read_offered(options)
    if options.wait:
        _prepare_bench()
    comparison = compare(case, by_hand=not machine_code.is_ready())
    if options.json:
        _print_json(comparison_dict(comparison))
    else:
        print(comparison_text(comparison, si=options.si, show_all=options.all))
    if comparison.is_by_hand:
        sys.stdout.flush()  # the answer first: compiling takes both cores
        print(f"\n{_how_bench_stands()}", file=sys.stderr if options.json else sys.stdout)
    return DONE


def _bench(options: argparse.Namespace) -> int:
    from advisor.comparison import compare
    from advisor.report.bench_page import write_page
    from advisor.report.bench_results import bench_dict, bench_report, bench_text
    from advisor.report.shortlist import shortlist

    case = _read(options.case)
    _prepare_bench()
    comparison = compare(case)
    if options.candidate:
        chosen = [comparison.candidate(_candidate_id(comparison, options.candidate))]
    else:
        chosen = list(comparison.candidates) if options.all else shortlist(comparison)
    report = bench_report(comparison, chosen)
    if options.plot:
        write_page(report, options.plot)
    if options.json:
        _print_json(bench_dict(report))
    else:
        print(bench_text(report, si=options.si))
        if options.plot:
            print(f"\nWrote {options.plot}.")
    return DONE


def _candidate_id(comparison: Comparison, wanted: str | None) -> str:
    """The candidate asked for, else the recommended one, else the plain replacement."""
    import difflib

    known = [candidate.heater.id for candidate in comparison.candidates]
    chosen = wanted or comparison.recommended_id or comparison.like_for_like_id or known[0]
    if chosen not in known:
        near = difflib.get_close_matches(chosen, known, n=1)
        fix = "write '{near}' if that is meant" if near else "write one of {count}, such as {known}"
        few = ", ".join(known[:3])
        what = "there is no such candidate in this case"
        raise InputError("candidate", chosen, what, fix, near="".join(near), count=len(known), known=few)
    return chosen


def _commission(options: argparse.Namespace) -> int:
    from advisor.comparison import compare
    from advisor.house.readings import judged, readings_for, symptoms_of
    from advisor.report.readings_text import readings_dict, readings_text

    case = _read(options.case)
    _prepare_bench()
    comparison = compare(case)
    candidate = comparison.candidate(_candidate_id(comparison, options.candidate))
    readings = readings_for(candidate.heater, comparison.facts, comparison.circumstances, candidate.use)
    taken = judged(readings, case.readings, candidate.heater.id)
    if options.json:
        _print_json(readings_dict(candidate.heater.id, readings, taken))
    else:
        symptoms = symptoms_of(candidate.heater)
        print(readings_text(candidate.heater.title, readings, symptoms, si=options.si, taken=taken))
    return DONE


def _money(options: argparse.Namespace) -> int:
    from advisor.comparison import compare
    from advisor.report.as_json import money_dict
    from advisor.report.money_text import money_text

    case = _read(options.case)
    _prepare_bench()
    comparison = compare(case)
    if options.json:
        _print_json(money_dict(comparison))
    else:
        print(money_text(comparison))
    return DONE


def _turns(options: argparse.Namespace) -> int:
    from advisor.comparison import compare
    from advisor.report.turning_text import turning_dict, turning_text
    from advisor.turning import turns

    case = _read(options.case)
    _prepare_bench()
    comparison = compare(case)
    found = turns(comparison)
    if options.json:
        _print_json(turning_dict(comparison, found))
    else:
        print(turning_text(comparison, found))
    return DONE


def _document(options: argparse.Namespace) -> int:
    from datetime import date
    from pathlib import Path

    from advisor.comparison import compare
    from advisor.core.files import write_whole
    from advisor.document.logo import read_logo
    from advisor.document.make import document, written

    path = Path(options.output)
    kind = path.suffix.lower().removeprefix(".")
    if kind not in {"pdf", "html"}:
        raise InputError("output", options.output, "this is neither a PDF nor an HTML file", "end it in .pdf or .html")
    try:
        today = date.fromisoformat(options.date) if options.date else date.today()
    except ValueError as error:
        raise InputError("date", options.date, "this is not a date", "write it as 2026-11-28") from error
    case = _read_offered(options)
    beside = Path(options.case).parent if options.case != "-" else Path()
    logo = case.contractor.logo if case.contractor else None
    picture = read_logo(beside / logo) if logo else None
    _prepare_bench()
    comparison = compare(case, today=today)
    chosen = comparison.candidate(_candidate_id(comparison, options.candidate)) if options.candidate else None
    made = document(comparison, chosen=chosen, language=options.language, si=options.si, logo=picture)
    content = written(made, "html" if kind == "html" else "pdf", paper=options.paper, day=today)
    try:
        write_whole(path, content, replace=True)
    except OSError as error:
        raise InputError("output", options.output, "this file cannot be written", "choose another place") from error
    print(f"Wrote {options.output}.")
    return DONE


def _prices(options: argparse.Namespace) -> int:
    from advisor.comparison import compare
    from advisor.report.prices_text import live_prices, prices_dict, prices_text

    comparison = compare(_read(options.case), by_hand=True)  # prices do not depend on who keeps up
    live = live_prices(comparison, _price_key()) if options.live else {}
    if options.json:
        _print_json(prices_dict(comparison, live))
    else:
        print(prices_text(comparison, live))
    return DONE


def _price_key() -> str | None:
    """The key from the environment, else typed unseen; without a person at the keyboard there is none."""
    from advisor.money.live_prices import KEY_VARIABLE

    if os.environ.get(KEY_VARIABLE, "").strip() or not sys.stdin.isatty():
        return None
    import getpass

    return getpass.getpass("Key of the price service (not shown, not kept): ")


def _serve(options: argparse.Namespace) -> int:
    from pathlib import Path

    from advisor.web.launch import serve

    book = Path(options.book) if options.book else None
    serve(options.port, open_browser=not options.no_browser, host=options.host, book=book)
    return DONE


def _case_new(options: argparse.Namespace) -> int:
    from pathlib import Path

    from advisor.case.file import starter
    from advisor.core.files import write_whole

    if options.file == "-":
        print(starter(), end="")
        return DONE
    try:
        write_whole(Path(options.file), starter().encode())  # an existing case is never overwritten
    except FileExistsError as error:
        raise InputError("file", options.file, "this file is already there", "choose another name") from error
    except OSError as error:
        raise InputError("file", options.file, "this file cannot be written", "choose another place") from error
    print(f"Wrote {options.file}. Edit the four answers, then run: advisor compare {options.file}")
    return DONE


def _case_check(options: argparse.Namespace) -> int:
    from advisor.comparison import compare
    from advisor.heaters.candidates import own_heaters
    from advisor.report.words import say

    case = _read(options.file)
    compare(case, by_hand=True)  # whatever would refuse the house later refuses it here
    print("The case can be used.")
    for one in (*own_heaters(case)[1], *case.odd()):
        print(f"Odd: {say(one)}")
    for assumption in case.assumed():
        print(f"Assumed: {assumption.field} = {assumption.value}: {say(assumption.reason)}.")
    return DONE


def _case_schema(_: argparse.Namespace) -> int:
    from advisor.report.case_schema import schema_in_words

    _print_json(schema_in_words())
    return DONE


def _case_demos(_: argparse.Namespace) -> int:
    from advisor.case.file import read_case
    from advisor.core import paths

    for path in sorted(paths.CASES.glob("*.toml")):
        print(f"{path.stem:<28} {read_case(path).name or ''}")
    return DONE


def _formula(options: argparse.Namespace) -> int:
    from advisor import formulas

    if options.name is None:
        return _list_formulas(options)
    given = {}
    for text in options.values:
        key, equals, value = text.partition("=")
        if not equals:
            raise InputError("formula", text, "an input is written KEY=VALUE", "for example rise_df=67")
        given[key] = value
    working = formulas.run(options.name, given)
    if options.json:
        _print_json(
            {
                "name": working.formula,
                "inputs": working.inputs,
                "result": working.result if math.isfinite(working.result) else None,
                "unit": formulas.unit_label(working.suffix),
                "source": working.published.source,
                "state": working.published.state,
            }
        )
    else:
        print("\n".join(formulas.lines(working, si=options.si)))
    return DONE


def _list_formulas(options: argparse.Namespace) -> int:
    from advisor import formulas

    found = formulas.index()
    if options.json:
        _print_json(
            [
                {
                    "name": formula.name,
                    "summary": formula.summary,
                    "source": formula.published.source,
                    "state": formula.published.state,
                    "by_hand": formula.published.by_hand,
                    "inputs": [parameter.name for parameter in formula.parameters],
                }
                for formula in found.values()
            ]
        )
        return DONE
    for formula in found.values():
        inputs = " ".join(f"{parameter.name}=" for parameter in formula.parameters)
        used = "; no answer rests on it" if formula.published.by_hand else ""
        print(
            f"{formula.name}\n    {formula.summary}\n    {inputs}\n    {formula.published.source}"
            f" [{formula.published.state}{used}]"
        )
    print(f"\n{len(found)} formulas. Run one: advisor formula heated_flow_gpm output_btuh='190 kBtu/h' rise_df=40")
    return DONE


def _sources(options: argparse.Namespace) -> int:
    from advisor.core import tables

    loaded = [tables.load(name) for name in tables.names()]
    if options.json:
        _print_json(
            [
                {
                    "id": table.id,
                    "title": table.title,
                    "publication": table.publication,
                    "edition": table.edition,
                    "locator": table.locator,
                    "state": table.state,
                    "rows": len(table),
                    "licence": table.licence,
                    "states": _states(table),
                }
                for table in loaded
            ]
        )
        return DONE
    for table in loaded:
        print(f"{table.id} ({len(table):,} rows): {table.title}")
        print(f"    {table.publication}, {table.edition}, {table.locator}")
        print(f"    state: {table.state}")
        for state, count in _states(table).items():
            print(f"        {count:,} rows: {state}")
    return DONE


def _states(table: Any) -> dict[str, int]:
    """How many rows of a table are in which state of verification."""
    if "state" not in table.columns or table.state != "mixed, see the state column":
        return {}
    counts: dict[str, int] = {}
    for state in table["state"]:
        counts[str(state)] = counts.get(str(state), 0) + 1
    return counts
