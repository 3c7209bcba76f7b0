"""Situations of the command line: what is said and how it ends, whatever stands behind the pipe."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
ADVISOR = f"{sys.executable} -m advisor"


#: A refusal with what stands before it.
_LONGEST = 320


@dataclass(frozen=True)
class Line:
    """A line of the shell, how it must end and what must be said: of errors where the code is not 0, else of output."""

    line: str
    code: int = 0
    said: str = ""


CASE = (
    "[place]\nzip_code = '55811'\n[household]\npeople = 4\n[failed]\nfuel = 'natural_gas'\n"
    "[house]\nfuels = ['natural_gas']\n"
)
#: It lacks a first-hour rating.
LABEL = "[[heaters]]\ntitle = 'x'\ntechnology = 'gas_storage_atmospheric'\nfuel = 'natural_gas'\nuef = 0.6\n"
#: Files that stand in the folder where the lines are run.
FILES = {
    "good.toml": CASE.encode(),
    "bom.toml": b"\xef\xbb\xbf" + CASE.encode(),
    "crlf.toml": CASE.replace("\n", "\r\n").encode(),
    "empty.toml": b"",
    "comment.toml": b"# nothing\n",
    "latin.toml": "name = 'é'\n".encode("latin-1") + CASE.encode(),
    "utf16.toml": CASE.encode("utf-16"),
    "zeros.toml": bytes(100),
    "half.toml": CASE.encode()[:60],
    "large.toml": b"#" * 300_000,
    "deep.toml": b"a" + b".a" * 40_000 + b" = 1\n",
    "rows.toml": CASE.encode() + b"[[uses]]\nx = 1\n" * 10_000,
    "brackets.toml": b"a = " + b"[" * 4000,
    "picture.png": b"\x89PNG\r\n\x1a\n" + bytes(range(256)),
    "hostile.toml": f"name = '![a](http://elsewhere.invalid)<i>'\n{CASE}".encode(),
    "control.toml": b'name = "a\\u001b[31mred"\n' + CASE.encode(),
    "future.toml": f"install_date = 9999-12-31\n{CASE}".encode(),
    "offers.toml": f"{CASE}[[offers]]\ncandidate = 'nothing'\ntotal_usd = 1\n".encode(),
    "long.toml": f"{CASE}[economics]\nstudy_yr = 40\n".encode(),
    "neglect.toml": f"{CASE}[economics]\nis_looked_after = false\n".encode(),
    "label.toml": f"{CASE}{LABEL}".encode(),
    "logo.toml": f"{CASE}[contractor]\nlogo = '/dev/stdin'\n".encode(),
    "there.html": b"an older page",
}

LINES = (
    Line("--version", 0, "advisor"),
    Line("--help", 0, "commands"),
    Line("nothing", 2, "invalid choice"),
    Line("figure", 2, "advisor formula"),
    Line("compare --help", 0, "--json"),
    Line("compare", 0, "We assumed"),
    Line("compare good.toml", 0, "We assumed"),
    Line("compare bom.toml", 0, "We assumed"),
    Line("compare crlf.toml", 0, "We assumed"),
    Line("compare long.toml", 0, "40 years"),
    Line("compare neglect.toml", 0, "We assumed"),
    Line("compare future.toml", 0),
    Line("compare hostile.toml", 0, "![a](http://elsewhere.invalid)<i>"),
    Line("compare good.toml --json | python3 -m json.tool", 0, '"candidates"'),
    Line("compare good.toml --si", 0, "°C"),
    Line("compare good.toml --all", 0, "We assumed"),
    Line("compare good.toml --nothing", 2, "unrecognized"),
    Line("compare good.toml good.toml", 2, "unrecognized"),
    Line("compare nothing.toml", 2, "there is no such file"),
    Line("compare .", 2, "folder"),
    Line("compare empty.toml", 2, "the file is empty"),
    Line("compare comment.toml", 2, "the file is empty"),
    Line("compare latin.toml", 2, "UTF-8"),
    Line("compare utf16.toml", 2, "UTF-8"),
    Line("compare zeros.toml", 2, "not valid TOML"),
    Line("compare half.toml", 2),
    Line("compare large.toml", 2, "larger than 250 kB"),
    Line("compare deep.toml", 2, "letters"),
    Line("compare rows.toml", 2, "too long"),
    Line("compare brackets.toml", 2, "nested too deep"),
    Line("compare picture.png", 2, "UTF-8"),
    Line("compare control.toml", 2, "control character"),
    Line("compare offers.toml", 2, "offers.1.candidate"),
    Line("compare label.toml", 0, "is not compared"),
    Line("compare /dev/null", 2, "the file is empty"),
    Line("compare /dev/zero", 2, "larger than 250 kB"),
    Line("compare /proc/self/mem", 2),
    Line(f"compare {'x' * 5000}", 2, "cannot be read"),
    Line("compare $'a\\nb.toml'", 2, "there is no such file"),
    Line("compare - <good.toml", 0, "We assumed"),
    Line("compare - </dev/null", 2, "the file is empty"),
    Line("compare - <&-", 2, "nothing comes in"),
    Line("compare - </dev/zero", 2, "larger than 250 kB"),
    Line("yes | {advisor} compare -", 2, "larger than 250 kB"),
    Line("compare good.toml | head -1", 0),
    Line("compare good.toml | true", 0),
    Line("compare good.toml >/dev/full", 1, "cannot be written"),
    Line("compare good.toml --json >/dev/full", 1, "cannot be written"),
    Line("compare good.toml >&-", 0),
    Line("compare nothing.toml 2>&-", 2),
    Line("compare nothing.toml 2>/dev/full", 2),
    Line("compare nothing.toml >&- 2>&-", 2),
    Line("money good.toml", 0, "over the years"),
    Line("money offers.toml", 2, "offers.1.candidate"),
    Line("money long.toml | tail -1", 0),
    Line("prices good.toml", 0),
    Line("prices good.toml --live </dev/null", 2, "no key was given"),
    Line("bench good.toml --candidate nothing", 2, "no such candidate"),
    Line("bench good.toml --candidate gas-tank-50 --plot page.txt", 2, ".html"),
    Line("bench good.toml --candidate gas-tank-50 --plot there.html", 2, "already there"),
    Line("bench good.toml --candidate gas-tank-50 --plot none/page.html", 2, "cannot be written"),
    Line("commission good.toml --candidate gas-tank-50", 0),
    Line("document good.toml --candidate nothing --output new.pdf", 2, "no such candidate"),
    Line("document good.toml --output page.txt", 2, "neither a PDF nor an HTML"),
    Line("document good.toml --output new.pdf --date 2026-02-30", 2, "not a date"),
    Line("document good.toml --output none/new.pdf", 2, "cannot be written"),
    Line("document good.toml --output new.html", 0, "Wrote"),
    Line("document logo.toml --output new.html", 2, "contractor.logo"),
    Line("case new -", 0, "[place]"),
    Line("{advisor} case new new.toml && {advisor} case check new.toml", 0, "can be used"),
    Line("case new good.toml", 2, "already there"),
    Line("case new none/new.toml", 2, "cannot be written"),
    Line("case new /dev/full", 2, "already there"),
    Line("case new - >/dev/full", 1, "cannot be written"),
    Line("case check good.toml", 0, "can be used"),
    Line("case check offers.toml", 2, "offers.1.candidate"),
    Line("case check label.toml", 0, "is not compared"),
    Line("case schema | python3 -m json.tool", 0, "$defs"),
    Line("case demos", 0, "cold-city-basement"),
    Line("case", 2),
    Line("formula | head -2", 0),
    Line("formula nothing", 2),
    Line("formula heated_flow_gpm output_btuh='190 kBtu/h' rise_df=40", 0, "gpm"),
    Line("formula heated_flow_gpm output_btuh=nan rise_df=40", 2),
    Line("formula heated_flow_gpm output_btuh=1e400 rise_df=0", 2),
    Line("formula heated_flow_gpm x", 2, "KEY=VALUE"),
    Line("sources", 0, "state:"),
    Line("sources >/dev/full", 1, "cannot be written"),
    Line("serve --port 70000 --no-browser", 2, "there is no such port"),
    Line("serve --port -1 --no-browser", 2, "there is no such port"),
    Line("serve --port 0 --no-browser", 2, "there is no such port"),
    Line("serve --port x", 2, "invalid int"),
    Line("PYTHONIOENCODING=ascii {advisor} compare good.toml", 0, "We assumed"),
    Line("LC_ALL=C LANG=C {advisor} compare good.toml", 0, "We assumed"),
    Line("HOME=/nonexistent {advisor} compare good.toml", 0, "We assumed"),
    Line("TERM=dumb COLUMNS=1 {advisor} compare good.toml", 0, "We assumed"),
)


def put_files(folder: Path) -> None:
    """The files that the lines name."""
    for name, content in FILES.items():
        (folder / name).write_bytes(content)


def wrong(one: Line, folder: Path) -> str:
    """What is wrong with how a line ended; nothing if it ended well."""
    line = one.line if "{advisor}" in one.line else f"{{advisor}} {one.line}"
    command = f"set -o pipefail; {line.replace('{advisor}', ADVISOR)}"
    done = subprocess.run(
        ["bash", "-c", command], cwd=folder, env=_environment(), capture_output=True, text=True, timeout=120,
        errors="replace",
    )  # fmt: skip
    said = done.stderr if one.code else done.stdout
    if "Traceback" in done.stderr or "should not have" in done.stderr or "Exception ignored" in done.stderr:
        return f"{one.line[:80]}: {done.stderr[-300:]}"
    # "yes" and "head" end a pipe with codes of their own.
    if done.returncode != one.code and not one.line.startswith("yes"):
        return f"{one.line[:80]}: ended with {done.returncode}: {done.stderr[-200:]}"
    if one.said not in said:
        return f"{one.line[:80]}: said {said[-200:]!r}"
    if one.code == 2 and (done.stderr.count("\n") > 1 or len(done.stderr) > _LONGEST):
        return f"{one.line[:80]}: more than one short sentence: {done.stderr[:400]}"
    return ""


def _environment() -> dict[str, str]:
    kept = {key: value for key, value in os.environ.items() if not key.startswith("EIA")}
    return {**kept, "PYTHONPATH": str(ROOT)}


def interrupted(seconds: float) -> tuple[int, str]:
    """Code and last words of a year on the bench that is stopped with Ctrl-C after a while."""
    with subprocess.Popen(
        [sys.executable, "-m", "advisor", "bench"],
        env=_environment(), stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # which a shell's background ignores
    ) as running:  # fmt: skip
        time.sleep(seconds)
        running.send_signal(signal.SIGINT)
        return running.wait(60), running.stderr.read() if running.stderr else ""
