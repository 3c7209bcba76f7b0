"""A file is written whole or not at all."""

import os
import subprocess
import sys

import pytest

from advisor.core.files import write_whole


def test_what_is_written_stands_there_alone(tmp_path):
    file = tmp_path / "case.toml"
    write_whole(file, b"one")
    assert file.read_bytes() == b"one" and list(tmp_path.iterdir()) == [file]
    assert file.stat().st_mode & 0o777 == 0o644


def test_what_is_there_is_replaced_only_when_asked(tmp_path):
    file = tmp_path / "case.toml"
    write_whole(file, b"one")
    with pytest.raises(FileExistsError):
        write_whole(file, b"two")
    assert file.read_bytes() == b"one"
    write_whole(file, b"two", replace=True)
    assert file.read_bytes() == b"two" and list(tmp_path.iterdir()) == [file]


def test_a_disk_without_second_names(tmp_path, monkeypatch):
    def refuse(*_):
        raise PermissionError

    monkeypatch.setattr("pathlib.Path.hardlink_to", refuse)
    write_whole(tmp_path / "case.toml", b"one")
    assert (tmp_path / "case.toml").read_bytes() == b"one"


def test_a_full_disk_leaves_nothing(tmp_path, monkeypatch):
    def full(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        write_whole(tmp_path / "case.toml", b"one")
    assert list(tmp_path.iterdir()) == []


def test_what_a_killed_writer_left_is_taken_away_once_it_is_old(tmp_path):
    old, young = tmp_path / ".case.toml-abcd_123", tmp_path / ".case.toml-abcd_124"
    others = [
        tmp_path / name for name in (".case.toml-notes.txt", ".case.toml-abc", "case.toml-abcd_123", ".other-abcd_123")
    ]
    for path in (old, young, *others):
        path.write_bytes(b"half")
    for path in (old, *others):
        os.utime(path, (0, 0))
    write_whole(tmp_path / "case.toml", b"one")
    assert not old.exists() and all(path.exists() for path in (young, *others))


def test_a_folder_that_is_not_there(tmp_path):
    with pytest.raises(OSError):
        write_whole(tmp_path / "none" / "case.toml", b"one")


@pytest.mark.parametrize(
    ("line", "code", "said"),
    [
        ("sources >/dev/full", 1, "cannot be written"),
        ("case schema >/dev/full", 1, "cannot be written"),
        ("sources >&-", 0, ""),
        ("case check - <&-", 2, "nothing comes in"),
        ("case check - </dev/zero", 2, "larger than 250 kB"),
        ("case check nothing 2>&-", 2, ""),
        ("sources | true", 0, ""),
        ("serve --port 70000 --no-browser", 2, "there is no such port"),
        ("serve --port 0 --no-browser", 2, "there is no such port"),
        ("case new /dev/full", 2, "already there"),
    ],
)
def test_odd_ends_of_the_line(line, code, said):
    """What is closed, full or endless gets one sentence or none."""
    command = f"{sys.executable} -m advisor {line}"
    done = subprocess.run(["bash", "-c", f"set -o pipefail; {command}"], capture_output=True, text=True, timeout=60)
    assert done.returncode == code and said in done.stderr
    assert "Traceback" not in done.stderr and "should not have" not in done.stderr and done.stderr.count("\n") <= 1
