"""Killed at any moment, a run leaves the old output or the complete new one; resumed, it gives the same bytes.

A few kills by default; ``ADVISOR_EXPLORE=1`` makes fifty, at other moments every time.
"""

import json
import os
import signal
import subprocess
import sys
import time

import numpy as np
import pytest

from advisor.screening.output import DECISIONS, RECORD, REJECTS, sha256_of
from advisor.screening.record import Order, screen
from tests.applicants import PROGRAMS, csv_file, rows
from tests.speed.dirty_applicants import write

EXPLORES = bool(os.environ.get("ADVISOR_EXPLORE"))
KILLS = 50 if EXPLORES else 4
RULES = PROGRAMS / "quillmarsh.toml"


def complete(folder):
    """The hashes of an output that is what its record says."""
    record = json.loads((folder / RECORD).read_text())
    found = {name: sha256_of(folder / name) for name in (DECISIONS, REJECTS)}
    assert found == record["outputs"]
    return found


@pytest.mark.skipif(sys.platform == "win32", reason="no such signal")
def test_a_killed_run_leaves_a_whole_output_and_can_be_resumed(tmp_path):
    random = np.random.default_rng(int(time.time()) if EXPLORES else 11)
    path, out = tmp_path / "a.csv", tmp_path / "out"
    write(1500, path)
    new = screen(Order(path, RULES, tmp_path / "whole", chunk_rows=100))["outputs"]
    command = [sys.executable, "-m", "advisor", "screen", str(path), "--rules", str(RULES), "--out", str(out)]
    command += ["--chunk-rows", "100", "--resume"]
    begun = time.monotonic()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    usual_s = time.monotonic() - begun
    assert complete(out) == new
    for _ in range(KILLS):
        old = screen(Order(csv_file(tmp_path / "few.csv", rows("quillmarsh").values()), RULES, out))["outputs"]
        running = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(usual_s * random.uniform(0.3, 1.05))
        running.send_signal(signal.SIGKILL)
        running.wait()
        assert complete(out) in (old, new)
        again = screen(Order(path, RULES, out, chunk_rows=100, resume=True))
        assert again["outputs"] == new == complete(out)
        assert (
            again["rows_out"]
            == again["totals"]["rows"]
            == json.loads((tmp_path / "whole" / RECORD).read_text())["rows_out"]
        )
