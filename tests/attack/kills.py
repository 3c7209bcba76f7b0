"""Every writer, killed many times at a random moment: what stands under a name is whole or not there.

A kill may leave what was being written, hidden beside its place; the next to write under that name takes it away once
it is old. What is left is counted and told.
"""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tests.attack.lines import ADVISOR, ROOT, put_files

_HOURS_AGO_S = 2 * 3600
_RULES = ROOT / "data" / "programs" / "quillmarsh.toml"


@dataclass(frozen=True)
class Writer:
    """What writes, in a folder of its own.

    Parameters
    ----------
    command : list of str
        One that ends, or one that writes over and over until it is killed.
    is_whole : callable
        Whether a folder holds nothing half-written.
    ends : bool
        It ends by itself.
    """

    command: list[str]
    is_whole: Callable[[Path], bool]
    ends: bool = True


def _line(text: str) -> list[str]:
    return [*ADVISOR.split(), *text.split()]


def _loop(text: str) -> list[str]:
    return [sys.executable, "-c", text]


def _file(name: str, is_whole: Callable[[bytes], bool]) -> Callable[[Path], bool]:
    return lambda folder: not (folder / name).exists() or is_whole((folder / name).read_bytes())


def _screened(folder: Path) -> bool:
    """The output is there with its record, or not at all."""
    from advisor.screening.output import DECISIONS, RECORD, REJECTS, sha256_of

    out = folder / "out"
    if not out.exists():
        return True
    record = json.loads((out / RECORD).read_text(encoding="utf-8"))
    return record["outputs"] == {name: sha256_of(out / name) for name in (DECISIONS, REJECTS)}


def _book(folder: Path) -> bool:
    from advisor.case.file import read_case

    jobs = sorted((folder / "book").glob("*.toml"))
    return all((read_case(job).name or "").startswith("Rivera") for job in jobs)


def _cache(folder: Path) -> bool:
    """Whatever lies in the cache, a part is read whole or counts as missing."""
    script = (
        "from advisor.bench import code_store as c\nheld = c.kept('storage')\n"
        "assert held is None or held == bytes([held[0]]) * 2_000_000"
    )
    environment = {**_environment(), "ADVISOR_CACHE_DIR": str(folder / "cache")}
    return subprocess.run(_loop(script), env=environment, check=False).returncode == 0


_WHOLE = (
    "from pathlib import Path\nfrom advisor.core.files import write_whole\nn = 0\nwhile True:\n    n += 1\n"
    "    write_whole(Path('out'), str(n % 10).encode() * 300_000, replace=True)\n"
)
_JOBS = (
    "from pathlib import Path\nfrom advisor.book.store import Book\nfrom advisor.case.file import read_case\n"
    "Path('book').mkdir(exist_ok=True)\nbook, case, n = Book(Path('book')), read_case('good.toml'), 0\n"
    "while True:\n    n += 1\n    file, version = book.add(case.model_copy(update={'name': f'Rivera {n % 5}'}))\n"
    "    book.save(case.model_copy(update={'name': 'Rivera again'}), file, version)\n    book.archive(file)\n"
)
_CODE = (
    "from advisor.bench import code_store as c\nn = 0\nwhile True:\n    n += 1\n    with c.alone('storage'):\n"
    "        c.keep('storage', bytes([n % 10]) * 2_000_000)\n"
)


def writers() -> dict[str, Writer]:
    """All that write; a new one is added here."""
    from advisor.case.file import starter

    whole_case = starter().encode()
    bench = "bench good.toml --candidate gas-tank-50 --plot out.html"
    screening = f"screen a.csv --rules {_RULES} --out out --chunk-rows 100 --processes 1"
    return {
        "case new": Writer(_line("case new out.toml"), _file("out.toml", lambda content: content == whole_case)),
        "bench --plot": Writer(_line(bench), _file("out.html", lambda content: content.rstrip().endswith(b"</html>"))),
        "document, PDF": Writer(
            _line("document good.toml --output out.pdf"),
            _file("out.pdf", lambda content: content.startswith(b"%PDF") and content.rstrip().endswith(b"%%EOF")),
        ),
        "document, HTML": Writer(
            _line("document good.toml --output out.html"),
            _file("out.html", lambda content: content.rstrip().endswith(b"</html>")),
        ),
        "screening": Writer(_line(screening), _screened),
        "any file": Writer(
            _loop(_WHOLE), _file("out", lambda content: len(content) == 300_000 and len(set(content)) == 1), ends=False
        ),
        "job book": Writer(_loop(_JOBS), _book, ends=False),
        "compiled code": Writer(_loop(_CODE), _cache, ends=False),
    }


def _environment() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": str(ROOT)}


def kills(times: int, seed: int = 0, *, only: str | None = None) -> list[str]:
    """Kill each writer many times; what was half-written, and what a later run did not take away."""
    bad = []
    for name, writer in writers().items():
        if only in {None, name}:
            bad += [f"{name}: {what}" for what in _killed(name, writer, times, random.Random(f"{name} {seed}"))]
    return bad


def _killed(name: str, writer: Writer, times: int, chance: random.Random) -> list[str]:
    bad = []
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        put_files(folder)
        _applicants(folder / "a.csv")
        environment = {**_environment(), "ADVISOR_CACHE_DIR": str(folder / "cache")} if not writer.ends else None
        usual_s = _seconds(writer, folder) if writer.ends else 1.5
        n_there = n_left = 0
        for number in range(times):
            _away(writer, folder)
            with subprocess.Popen(
                writer.command, cwd=folder, env=environment or _environment(),
                stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            ) as running:  # fmt: skip
                time.sleep(chance.uniform(0.5 * usual_s, 1.05 * usual_s))
                running.kill()
                running.wait()
            n_there += any(
                (folder / one).exists() for one in ("out", "out.toml", "out.html", "out.pdf", "book", "cache")
            )
            if not writer.is_whole(folder):
                bad.append(f"kill {number}: half-written")
        left = [path for path in folder.rglob(".*") if path.is_file() or path.is_dir()]
        n_left = len(left)
        if writer.ends:
            for path in left:
                os.utime(path, (time.time() - _HOURS_AGO_S,) * 2)
            _away(writer, folder)
            _seconds(writer, folder)
            bad += [f"{path.name} was left and not taken away" for path in folder.glob(".*")]
    print(f"{name}: {times} kills, whole after {n_there}, {n_left} hidden left", flush=True)
    return bad


def _seconds(writer: Writer, folder: Path) -> float:
    began = time.monotonic()
    subprocess.run(
        writer.command, cwd=folder, env=_environment(), check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    return time.monotonic() - began


def _away(writer: Writer, folder: Path) -> None:
    """What a command refuses to write over is taken away before it runs again."""
    if writer.ends:
        for name in ("out.toml", "out.html"):
            (folder / name).unlink(missing_ok=True)


def _applicants(path: Path) -> None:
    from tests.speed.dirty_applicants import write

    write(1500, path)
