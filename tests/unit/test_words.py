"""What is written in the repository: no promises to readers, no paths of one machine, no unknown hosts."""

import re
import subprocess
from pathlib import Path

import pytest

from advisor.case.file import case_schema, starter
from advisor.core import tables
from advisor.report.words import keys, template

ROOT = Path(__file__).parents[2]
#: Words that promise what nobody can promise, in any text a user reads.
FORBIDDEN = re.compile(r"\b(un)?(safe(ly|st|r)?|approv(ed|es?)|guarantee[ds]?|best)\b", re.I)
#: Decisions of a programme's own rules, which promise nothing of a heater, and a word of the content policy's standard.
DECISIONS = re.compile(r"approve, approve reduced|^approve reduced$|'unsafe-inline'")
FORBIDDEN_ES = re.compile(r"\b(segur[oa]s?|seguridad|aprob(ad[oa]s?|ar|ó)|garantiz\w*|el mejor|la mejor)\b", re.I)
#: Hosts that a file may name: the source of live prices, the name spaces of drawings and schemas, what tests make up.
HOSTS = {"api.eia.gov", "www.w3.org", "json-schema.org", "127.0.0.1", "localhost", "elsewhere.invalid"}
_HOST = re.compile(r"\b(?:https?|ftp|wss?)://([^/\s\"'<>)\]}:,;]+)", re.I)
_MACHINE_PATH = re.compile(r"(?<![\w.])/(?:work|tmp|root|home|mnt|Users)/|(?<!\w)[A-Z]:\\\\?(?:Users|work)", re.I)
#: Read by machines only.
_NOT_TEXT = {".png", ".ico", ".woff2", ".pdf", ".gz", ".parquet", ".pyc", ".jpg"}
_SKIPPED = {
    ".git",
    "__pycache__",
    ".venv",
    "dist",
    "build",
    ".hypothesis",
    ".mypy_cache",
    ".ruff_cache",
    ".pytest_cache",
}


def _files():
    """What is committed, or, without git, what lies here outside the caches."""
    try:
        command = ["git", "ls-files", "-co", "--exclude-standard"]
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
        found = [ROOT / name for name in done.stdout.splitlines()]
    except (OSError, subprocess.CalledProcessError):
        found = [path for path in ROOT.rglob("*") if not _SKIPPED & set(path.relative_to(ROOT).parts)]
    return sorted(path for path in found if path.is_file() and path.suffix not in _NOT_TEXT)


FILES = _files()
TEXTS = {path: path.read_text(encoding="utf-8") for path in FILES}
HERE = Path(__file__).resolve()


def _name(path):
    return path.relative_to(ROOT).as_posix()


def _found(pattern, text):
    return [text[max(match.start() - 40, 0) : match.end() + 30].replace("\n", " ") for match in pattern.finditer(text)]


def _lines_found(pattern, path):
    lines = enumerate(TEXTS[path].splitlines(), start=1)
    return [f"{_name(path)}:{number}: {line.strip()[:100]}" for number, line in lines if pattern.search(line)]


def test_the_scan_sees_the_repository():
    names = {_name(path) for path in FILES}
    assert {
        "advisor/cli.py",
        "data/cautions.csv",
        "DEVELOPERS.md",
        "pyproject.toml",
        "tests/unit/test_words.py",
    } <= names
    assert len(names) > 150


def test_every_text_file_is_utf_8_without_odd_bytes():
    for path, text in TEXTS.items():
        assert "\x00" not in text and "\ufeff" not in text and "\ufffd" not in text, _name(path)
        assert "\r" not in text, f"{_name(path)}: line ends of another system"


def test_no_path_of_one_machine():
    found = [
        line for path in FILES if not _name(path).startswith("tests/") for line in _lines_found(_MACHINE_PATH, path)
    ]
    assert not found


def test_only_known_hosts_are_named():
    unknown = [
        f"{_name(path)}: {host}"
        for path, text in TEXTS.items()
        for host in _HOST.findall(text)
        if host.split("@")[-1] not in HOSTS and not host.startswith("{") and path.resolve() != HERE
    ]
    assert not unknown


_SHOWN = {"text", "description", "title", "finding", "rule", "how", "why", "what", "caution", "fix", "who", "name"}


def _texts_of_tables():
    for name in tables.names():
        table = tables.load(name)
        for column in table.columns.values():
            # Words that readers are shown; titles, publications and remarks of others are quoted as they are.
            if column.kind == "text" and column.name in _SHOWN:
                for row, value in enumerate(table[column.name], start=2):
                    if value:
                        yield f"{name}.csv, row {row}, {column.name}", str(value)


def test_no_table_promises_what_nobody_can():
    found = [f"{where}: {text}" for where, text in _texts_of_tables() if FORBIDDEN.search(text)]
    assert not found
    assert sum(1 for _ in _texts_of_tables()) > 120


@pytest.mark.parametrize(("language", "pattern"), [("en", FORBIDDEN), ("es", FORBIDDEN_ES)])
def test_no_message_promises_what_nobody_can(language, pattern):
    texts = {key: {template(key, language), template(key, language, 2)} for key in keys(language)}
    found = [f"{key}: {text}" for key, forms in texts.items() for text in forms if pattern.search(text)]
    assert not found
    assert len(texts) > 800


def test_neither_starter_nor_schema_promises():
    assert not _found(FORBIDDEN, starter())
    assert not _found(FORBIDDEN, str(case_schema()))


def test_no_sentence_in_the_code_promises():
    """Strings of the package that hold a space are sentences somebody may be shown."""
    import ast

    found = []
    for path in FILES:
        if not _name(path).startswith("advisor/") or path.suffix != ".py":
            continue
        tree = ast.parse(TEXTS[path])
        docs = {
            id(node.body[0].value)
            for node in ast.walk(tree)
            if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
            and node.body
            and isinstance(node.body[0], ast.Expr)
        }
        for node in ast.walk(tree):
            is_text = isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs
            if is_text and " " in node.value and FORBIDDEN.search(DECISIONS.sub("", node.value)):
                found.append(f"{_name(path)}:{node.lineno}: {node.value[:100]}")
    assert not found


@pytest.mark.parametrize("name", ["README.md"])
def test_what_users_read_first_does_not_promise(name):
    assert not _found(FORBIDDEN, DECISIONS.sub("", TEXTS[ROOT / name]))


@pytest.mark.parametrize(
    ("text", "is_found"),
    [
        ("It is safe to use.", True),
        ("Unsafe work", True),
        ("an approved vent", True),
        ("results are guaranteed", True),
        ("the best heater", True),
        ("safety valve", False),
        ("approval of the town", False),
        ("bestow", False),
        ("guarantee", True),
    ],
)
def test_the_scan_for_promises_finds_them(text, is_found):
    assert bool(FORBIDDEN.search(text)) == is_found


@pytest.mark.parametrize(
    ("text", "is_found"),
    [
        ("see /" + "tmp/x", True),
        ("/" + "home/ann/notes", True),
        ("C:\\" + "Users\\ann", True),
        ("gal/home", False),
        ("data/jobs.csv", False),
        ("advisor/house/work.py", False),
        ("ft/work/h", False),
    ],
)
def test_the_scan_for_paths_finds_them(text, is_found):
    assert bool(_MACHINE_PATH.search(text)) == is_found


def test_the_scan_for_hosts_finds_them():
    assert _HOST.findall("see https" + "://example.org/a and http" + "://127.0.0.1:80/") == ["example.org", "127.0.0.1"]
