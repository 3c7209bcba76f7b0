"""Who is paid? A program's applicants against its rules: what is wrong, decisions, reasons, savings, budget."""

from __future__ import annotations

import hashlib
import tempfile
import zipfile
from io import BytesIO
from pathlib import Path
from typing import Any

import pandas as pd
import streamlit as st

from advisor.core import paths
from advisor.core.errors import AdvisorError, InputError
from advisor.screening.applicants import Applicants
from advisor.screening.checking import check
from advisor.screening.decide import columns_read
from advisor.screening.dictionary import columns
from advisor.screening.explaining import explained
from advisor.screening.mapping import Reading, guess_headings
from advisor.screening.output import DECISIONS, OURS
from advisor.screening.reading import Source, headings_of, open_source
from advisor.screening.record import Order, absent_columns, screen
from advisor.screening.rules import RuleSet, parse_rules
from advisor.screening.tiers import in_order
from advisor.screening.what_if import what_if
from advisor.web import charts, widgets
from advisor.web.words import language, refused, say, typed

PROGRAMS = paths.DATA / "programs"
#: Rows that the page takes; a larger file is for the command line, which has no limit.
MOST_ROWS = 50_000
_MOST_BYTES = 50_000_000
_OWN = "own"
_NONE = "(not in the file)"
_DEEP = 200_000


def draw() -> None:
    """The whole page."""
    widgets.english_here()
    st.title(say("program.title"))
    st.markdown(say("program.intro", most=MOST_ROWS))
    left, right = st.columns(2)
    with left:
        rules = _rules()
    with right:
        content = _applicants()
    if rules is None or content is None:
        return
    rule_set, text = rules
    try:
        _screened(rule_set, text, content)
    except AdvisorError as error:
        st.error(typed(refused(error)))


def _rules() -> tuple[RuleSet, bytes] | None:
    """The rule set: one of the shipped ones, or a file."""
    shipped = {path.stem: path for path in sorted(PROGRAMS.glob("*.toml"), reverse=True)}
    chosen = st.selectbox(
        say("program.rules"),
        [*shipped, _OWN],
        format_func=lambda name: say("program.own_rules") if name == _OWN else name.capitalize(),
        key="program_rules",
    )
    if chosen != _OWN:
        text = shipped[chosen].read_bytes()
    else:
        given = st.file_uploader(say("program.rules_file"), type=["toml"], key="program_rules_file")
        if given is None:
            return None
        text = given.getvalue()
    try:
        rule_set = parse_rules(text)
    except AdvisorError as error:
        st.error(typed(refused(error)))
        return None
    for found in check(rule_set):
        st.warning(say(found))
    with st.expander(say("program.explained")):
        st.code(explained(rule_set, language()), language=None, wrap_lines=True)
    return rule_set, text


def _applicants() -> bytes | None:
    """The file: the demo's, or one that is dropped here."""
    given = st.file_uploader(
        say("program.file"),
        type=["csv", "txt", "parquet"],
        key="program_file",
        max_upload_size=_MOST_BYTES // 1_000_000,
    )
    if given is not None:
        if given.size > _MOST_BYTES:
            st.error(say("program.too_large", most=MOST_ROWS))
            return None
        return given.getvalue()
    demo = PROGRAMS / f"{st.session_state.get('program_rules', '')}.csv"
    demo = demo if demo.exists() else PROGRAMS / "quillmarsh.csv"
    st.caption(say("program.demo", name=demo.stem.capitalize()))
    return demo.read_bytes()


def _screened(rule_set: RuleSet, text: bytes, content: bytes) -> None:
    """Columns, what is wrong before anything runs, and the run."""
    with tempfile.TemporaryDirectory(prefix="advisor-") as folder:
        path = Path(folder) / "applicants"
        path.write_bytes(content)
        reading = _headings(rule_set, path)
        source = open_source(path, reading, columns_read(rule_set), Path(folder))
        if not _looked_at(rule_set, source):
            return
    key = hashlib.sha256(content + text + reading.sha256.encode() + language().encode()).hexdigest()
    if st.button(say("program.run"), key="program_run", type="primary"):
        st.session_state["program_ran"] = key
    if st.session_state.get("program_ran") == key:
        _results(rule_set, *_run(key, content, text, reading), (content, text, reading))


def _headings(rule_set: RuleSet, path: Path) -> Reading:
    """Which heading is which column: guessed, shown, and to be corrected."""
    headings = headings_of(path, Reading())
    guessed, needed = guess_headings(list(headings)), rule_set.needed()
    rows = [
        {
            "Column": name,
            "Heading in the file": guessed.get(name, _NONE),
            "Asked by": ", ".join(needed.get(name, ())),
            "Meaning": columns()[name].meaning,
        }
        for name in columns_read(rule_set)
    ]
    absent = absent_columns(rule_set, guessed)
    missing = [name for name in absent if needed.get(name)]
    told = say("program.columns_missing", n=len(missing)) if missing else say("program.columns_found")
    with st.expander(told, expanded=False):
        key = f"program_columns_{hashlib.sha256(repr((headings, rule_set.sha256)).encode()).hexdigest()[:8]}"
        shown = st.data_editor(
            pd.DataFrame(rows),
            key=key,
            hide_index=True,
            disabled=["Column", "Asked by", "Meaning"],
            column_config={
                "Heading in the file": st.column_config.SelectboxColumn(options=[_NONE, *headings], required=True)
            },
        )
    chosen = dict(zip(shown["Column"], shown["Heading in the file"], strict=True))
    return Reading({name: heading for name, heading in chosen.items() if heading != _NONE})


def _looked_at(rule_set: RuleSet, source: Source) -> bool:
    """Say what cannot be read, column by column; False where the file is too large for the page."""
    chunks = list(source.chunks(MOST_ROWS))
    if len(chunks) > 1:
        st.error(say("program.too_large", most=MOST_ROWS))
        return False
    if not chunks:
        st.warning(say("program.no_rows"))
        return False
    frame = source.frame(chunks[0])
    applicants = Applicants(frame.table)
    n_rows = applicants.n_rows
    wrong = []
    for name in rule_set.needed():
        if name not in source.names:
            continue
        written, given = applicants.written(name), applicants.given(name)
        unread, empty = int((written & ~given).sum()), int((~written & ~given).sum())
        if unread:
            wrong.append({"Column": name, "Not to be read": f"{unread:,}", "Empty": f"{empty:,}"})
    st.markdown(say("program.looked_at", rows=n_rows, unread=len(frame.unread), n=n_rows))
    if wrong:
        with st.expander(say("program.cells", n=len(wrong))):
            widgets.table(wrong)
    return True


@st.cache_data(max_entries=4, show_spinner=False)
def _run(key: str, _content: bytes, _text: bytes, _reading: Reading) -> tuple[dict[str, Any], pd.DataFrame, bytes]:
    """The record, the decisions and the whole output in one archive; held for the same input."""
    with tempfile.TemporaryDirectory(prefix="advisor-") as folder:
        order = _order(Path(folder), _content, _text, _reading)
        record = screen(order)
        decisions = pd.read_csv(order.out / DECISIONS, keep_default_na=False, dtype=str)
        packed = BytesIO()
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
            for name in OURS:
                if (order.out / name).is_file():
                    archive.write(order.out / name, name)
    return record, decisions, packed.getvalue()


def _order(folder: Path, content: bytes, text: bytes, reading: Reading) -> Order:
    import tomli_w

    written = {"applicants.csv": content, "rules.toml": text}
    written["mapping.toml"] = tomli_w.dumps({"columns": dict(reading.headings)}).encode()
    for name, one in written.items():
        (folder / name).write_bytes(one)
    return Order(
        folder / "applicants.csv",
        folder / "rules.toml",
        folder / "out",
        mapping=folder / "mapping.toml",
        processes=1,
        language=language(),
    )


def _results(
    rule_set: RuleSet,
    record: dict[str, Any],
    decisions: pd.DataFrame,
    packed: bytes,
    given: tuple[bytes, bytes, Reading],
) -> None:
    totals = record["totals"]
    counts, rows = totals["decisions"], record["rows_in"]
    paid = counts["approve"] + counts["approve reduced"]
    st.header(say("program.finding", paid=paid, rows=rows, usd=totals["paid_usd"]))
    widgets.table([{"Decision": word, "Applications": f"{count:,}"} for word, count in counts.items()])
    st.markdown(say("program.mended", usd=totals["once_mended_usd"]))
    st.download_button(
        say("program.download"), packed, "screening.zip", "application/zip", on_click="ignore", key="program_download"
    )
    _reasons(rule_set, totals)
    _one(decisions)
    _money(totals)
    _tiers(totals)
    _saved(totals)
    _what_if(given)
    st.subheader(say("program.rows"))
    st.dataframe(decisions[["row", "application_id", "decision", "amount_usd", "reasons"]], hide_index=True)


def _reasons(rule_set: RuleSet, totals: dict[str, Any]) -> None:
    messages = {step.id: step.title for step in rule_set.steps} | {rule.id: rule.message for rule in rule_set.rules}
    ranked = [
        {
            "Rule": rule,
            "Effect": effect,
            "Applications": f"{count:,}",
            "It asks": typed(messages.get(rule, "")),
        }
        for effect in ("deny", "hold", "reduce")
        for rule, count in sorted(totals["rules"][effect].items(), key=lambda item: -item[1])
    ]
    if ranked:
        st.subheader(say("program.why"))
        widgets.table(ranked, alt=say("program.why"))


def _one(decisions: pd.DataFrame) -> None:
    """One applicant, opened and read as a sentence."""
    st.subheader(say("program.one"))
    shown = decisions.head(_DEEP)
    names = dict(zip(shown["row"], shown["application_id"], strict=True))
    row = st.selectbox(
        say("program.which"), list(names), format_func=lambda row: f"{row}: {typed(names[row])}", key="program_row"
    )
    if row is None:
        return
    found = shown[shown["row"] == row].iloc[0]
    word = {"approve": "paid", "approve reduced": "reduced", "hold": "held", "deny": "denied"}[found["decision"]]
    usd = float(found["amount_usd"] or 0)
    st.markdown(say(f"program.is.{word}", usd=usd, reasons=typed(found["reasons"]), steps=typed(found["amount_steps"])))
    if found["notes"]:
        st.caption(typed(found["notes"]))


def _money(totals: dict[str, Any]) -> None:
    st.subheader(say("program.money"))
    lines = [
        {"Line": name, "Applications": f"{one['count']:,}", "Amount": widgets.dollars(one["usd"], 1)}
        for name, one in totals["measures"].items()
    ]
    if lines:
        widgets.table(lines, alt=say("program.money"))
    _budget(totals["budget"])
    counties = [
        {
            "County": typed(name) or "(place not known)",
            "Applications": f"{one['count']:,}",
            "Amount": widgets.dollars(one["usd"], 1),
        }
        for name, one in sorted(totals["counties"].items(), key=lambda item: -item[1]["usd"])
    ]
    if counties:
        with st.expander(say("program.counties")):
            widgets.table(counties)


def _budget(budget: dict[str, Any]) -> None:
    """What is paid by the day of receipt; a single day makes no curve."""
    by_day = budget["by_day"]
    if not by_day:
        return
    finding = (
        say("program.runs_out", usd=budget["budget_usd"], day=budget["runs_out_on"])
        if budget["runs_out_on"]
        else say("program.spent", usd=by_day[-1]["spent_usd"])
    )
    if len(by_day) == 1:
        st.markdown(f"{finding} ({by_day[0]['day']}).")
        return
    figure = charts.chart(finding, "day received", "paid so far, $")
    figure.add_scatter(
        x=[one["day"] for one in by_day],
        y=[one["spent_usd"] for one in by_day],
        mode="lines+markers",
        line={"color": "#3b6ea5", "width": 3, "shape": "hv"},
    )
    rows = [{"Day": one["day"], "Paid so far": widgets.dollars(one["spent_usd"], 1)} for one in by_day]
    charts.show(figure, rows, alt=finding, key="program_budget")


def _tiers(totals: dict[str, Any]) -> None:
    """What is paid by income, between the limits that the rules themselves set."""
    paid = totals["income_tiers"]
    if not paid:
        return
    st.subheader(say("program.tiers"))
    rows = [
        {
            say("program.tier"): typed(name) if name else say("screening.summary.no_income"),
            "Applications": f"{paid[name]['count']:,}",
            "Amount": widgets.dollars(paid[name]["usd"], 1),
            "Each, on average": widgets.dollars(paid[name]["usd"] / paid[name]["count"], 1),
        }
        for name in in_order(paid)
    ]
    widgets.table(rows, alt=say("program.tiers"))


def _saved(totals: dict[str, Any]) -> None:
    saved = totals["saved"]
    if not saved:
        return
    st.subheader(say("program.savings"))
    st.markdown(
        say(
            "screening.summary.saved",
            therm=saved.get("saved_therm_per_yr", 0.0),
            kwh=saved.get("saved_kwh_per_yr", 0.0),
            mmbtu=saved.get("saved_mmbtu_per_yr", 0.0),
            beside=saved.get("household_saved_mmbtu_per_yr", 0.0),
            co2_lb=saved.get("saved_co2_lb_per_yr", 0.0),
        )
    )
    st.caption(say("program.beside"))


def _what_if(given: tuple[bytes, bytes, Reading]) -> None:
    """A number of the rules moved over the whole file."""
    with st.expander(say("program.what_if")):
        move = st.text_input(say("program.move"), key="program_move", placeholder="measures.M1.usd=400")
        if not move:
            return
        try:
            with tempfile.TemporaryDirectory(prefix="advisor-") as folder:
                found = what_if(_order(Path(folder), *given), [part.strip() for part in move.split(",")])
        except InputError as error:
            st.error(typed(refused(error)))
            return
        was, becomes = found["was"], found["becomes"]
        rows = [
            {"": word, "Before": f"{count:,}", "After": f"{becomes['decisions'][word]:,}"}
            for word, count in was["decisions"].items()
        ]
        rows.append(
            {
                "": "paid now",
                "Before": widgets.dollars(was["paid_usd"], 1),
                "After": widgets.dollars(becomes["paid_usd"], 1),
            }
        )
        widgets.table(rows)
        for one in found["turned"]:
            st.markdown(f"- {one['from']} → {one['to']}: {one['count']:,}")
