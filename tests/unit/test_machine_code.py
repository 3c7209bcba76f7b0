"""Compiled code is kept whole, made anew when damaged, made once, and done without where there can be none."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

import advisor
from advisor.bench import code_store, machine_code

PART = "instantaneous"
ROOT = Path(advisor.__file__).resolve().parents[1]
SMALL_RUN = """
import sys
import numpy as np
from advisor.bench import comfort, machine_code
print(machine_code.is_ready())
print(comfort.fared(np.array([[0.0, 1.0, 100.0, 2.0, 100.0]]), np.zeros((0, 6)), np.zeros((0, 7)),
                    *(np.array([one]) for one in (0.0, 5.0, 105.0, 104.0, 97.0)), 50.0, 0.5).tolist())
print("numba" in sys.modules)
"""
FOUND = "[[1.0, 0.0, 100.0, 0.0]]"


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A place for compiled code that holds all that this machine has compiled before."""
    codes = {part: code_store.kept(part) for part in machine_code.PARTS}
    monkeypatch.setenv(code_store.FOLDER_VARIABLE, str(tmp_path))
    monkeypatch.setattr(machine_code, "_made", {})
    for part, code in codes.items():
        code_store.keep(part, code)
    return code_store.folders()[0]


@pytest.fixture
def nowhere(tmp_path, monkeypatch):
    """A place that nobody can write to, whoever they are."""
    (tmp_path / "file").write_bytes(b"")
    monkeypatch.setenv(code_store.FOLDER_VARIABLE, str(tmp_path / "file"))


def start(*arguments, **how):
    environment = {**os.environ, "PYTHONPATH": str(ROOT), **how.pop("env", {})}
    return subprocess.Popen(
        [sys.executable, *arguments], env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, **how
    )


def said(*arguments, **how):
    out, err = start(*arguments, **how).communicate()
    assert err == ""
    return out.splitlines()


def file_of(part):
    return code_store.folders()[0] / code_store._file_name(part)


# Running it -----------------------------------------------------------------------------------------------------


def test_a_run_needs_no_compiler(folder):
    assert said("-c", SMALL_RUN) == ["True", FOUND, "False"]


def test_an_array_that_could_not_be_written_is_refused():
    with pytest.raises(TypeError, match="without gaps"):
        machine_code.run("comfort.read_off", [np.zeros((2, 10))[:, ::2]])
    with pytest.raises(TypeError, match="floats"):
        machine_code.run("comfort.read_off", [np.zeros(3, dtype=int)])


# Damage ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "damage",
    [
        lambda content: content[: len(content) // 2],
        lambda content: content[:20],
        lambda content: b"",
        lambda content: content[:-1] + bytes([content[-1] ^ 1]),
        lambda content: bytes([content[0] ^ 1]) + content[1:],
    ],
    ids=["half", "less than the checksum", "empty", "a bit at the end", "a bit of the checksum"],
)
def test_damaged_code_counts_as_missing(folder, damage):
    whole = file_of(PART).read_bytes()
    assert code_store.kept(PART) == whole[32:]
    file_of(PART).write_bytes(damage(whole))
    assert code_store.kept(PART) is None
    assert not machine_code.is_ready()


def test_damaged_code_is_made_anew_once_by_two_who_find_it(folder):
    whole = file_of(PART).read_bytes()
    file_of(PART).write_bytes(whole[:5000])
    both = [start("-m", "advisor.bench.compiling", PART) for _ in range(2)]
    done = sorted(process.communicate() for process in both)
    assert done == [(f"{PART}: already there\n", ""), (f"{PART}: compiled\n", "")]
    assert file_of(PART).read_bytes() == whole
    assert sorted(path.suffix for path in folder.iterdir()) == [".code", ".code", ".lock"]
    assert said("-c", SMALL_RUN) == ["True", FOUND, "False"]


# Nowhere to keep it ---------------------------------------------------------------------------------------------


def test_where_nothing_can_be_kept_a_run_makes_its_own(nowhere):
    assert not code_store.has_room()
    only = f"from advisor.bench import machine_code; machine_code.PARTS = {{{PART!r}: machine_code.PARTS[{PART!r}]}}"
    assert said("-c", f"{only}\n{SMALL_RUN}") == ["False", FOUND, "False"]


def test_where_nothing_can_be_kept_nothing_is_started_in_the_background(nowhere, monkeypatch):
    monkeypatch.setattr(machine_code, "_compiler", None)
    assert machine_code.prepare_in_background() == machine_code.UNKEPT


def test_a_full_disk_leaves_nothing_half_written(tmp_path):
    code = (
        "import resource, signal\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (4000, 4000))\n"
        "from advisor.bench import code_store\n"
        "print(code_store.has_room()); code_store.keep('storage', bytes(9000)); print(code_store.kept('storage'))"
    )
    assert said("-c", code, env={code_store.FOLDER_VARIABLE: str(tmp_path)}) == ["False", "None"]
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


def test_beside_the_package_or_else_in_the_users_cache(tmp_path, monkeypatch):
    monkeypatch.delenv(code_store.FOLDER_VARIABLE)
    (tmp_path / "file").write_bytes(b"")
    monkeypatch.setattr(code_store, "_BESIDE", tmp_path / "file")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setattr(sys, "platform", "linux")
    code_store.keep(PART, b"code")
    assert code_store.kept(PART) == b"code"
    assert [path.name for path in (tmp_path / "cache").iterdir()] == ["water-heater-advisor"]


def test_older_code_goes_but_only_from_the_package_s_own_folder(folder, monkeypatch):
    older = folder.parent / "kernels-of-last-week"
    older.mkdir()
    code_store.keep(PART, b"code")
    assert older.is_dir()
    monkeypatch.setattr(code_store, "_BESIDE", folder.parent)
    code_store.keep(PART, b"code")
    assert not older.exists() and folder.is_dir()


# Who makes it ---------------------------------------------------------------------------------------------------


def test_the_lock_goes_with_whoever_held_it(folder):
    code = (
        "import time; from advisor.bench import code_store\n"
        f"with code_store.alone({PART!r}): print('held', flush=True); time.sleep(600)"
    )
    holder = start("-c", code)
    try:
        assert holder.stdout.readline() == "held\n"
        with code_store.alone(PART, wait=False) as is_free:
            assert not is_free
        with code_store.alone("storage", wait=False) as is_free:
            assert is_free
    finally:
        holder.send_signal(signal.SIGKILL)
        holder.communicate()
    with code_store.alone(PART, wait=False) as is_free:
        assert is_free


class Compiler:
    """What compiles, without compiling."""

    started: list[str] = []
    returncode = 0

    def __init__(self, part, *options, **how):
        self.started.append(part)

    def wait(self):
        return self.returncode


def test_only_what_is_missing_and_nobody_makes_is_started(folder, monkeypatch):
    monkeypatch.setattr(Compiler, "started", [])
    monkeypatch.setattr(machine_code, "_compiler", Compiler)
    assert machine_code.prepare_in_background() == machine_code.PREPARING and Compiler.started == []
    file_of(PART).unlink()
    with code_store.alone(PART):
        assert machine_code.prepare_in_background() == machine_code.PREPARING and Compiler.started == []
    assert machine_code.prepare_in_background() == machine_code.PREPARING and Compiler.started == [PART]


def test_a_machine_that_cannot_compile_says_why_once(folder, tmp_path, monkeypatch):
    (tmp_path / "numba.py").write_text("raise ImportError('this build has no numba')", encoding="utf-8")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    file_of(PART).unlink()
    with pytest.raises(machine_code.NoBenchError, match=r"\(ImportError: this build has no numba\)\.$"):
        machine_code.prepare()
    assert code_store.failure() == "ImportError: this build has no numba"
    assert machine_code.prepare_in_background() == machine_code.FAILED
    code_store.keep(PART, b"code")
    assert code_store.failure() is None
