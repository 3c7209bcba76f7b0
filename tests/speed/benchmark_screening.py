"""Screening against what pandas alone, and Arrow alone, take for the same file: ratios of one run, by hand.

    python tests/speed/benchmark_screening.py [rows] [--small rows]

Prints seconds on the clock and of the processor, the two ratios, and the peak memory of the largest process at both
sizes.
"""

import argparse
import hashlib
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.speed.dirty_applicants import write  # noqa: E402

RULES = ROOT / "data" / "programs" / "quillmarsh.toml"
PANDAS = """
import sys, pandas
frame = pandas.read_csv(sys.argv[1], on_bad_lines="skip", low_memory=False)
frame.to_csv(sys.argv[2], index=False)
"""
ARROW = """
import sys
from pyarrow import csv
parse = csv.ParseOptions(newlines_in_values=True, invalid_row_handler=lambda row: "skip")
read = csv.ReadOptions(block_size=64_000_000)
with open(sys.argv[1], "rb") as stream:
    names = stream.readline().decode().strip().split(",")
import pyarrow
convert = csv.ConvertOptions(column_types={name: pyarrow.string() for name in names})
csv.write_csv(csv.read_csv(sys.argv[1], read, parse, convert), sys.argv[2])
"""


def timed(*command):
    """Seconds on the clock and of the processor, and the peak memory of the largest process, in MB."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    begun = time.perf_counter()
    child = subprocess.Popen(command, cwd=ROOT, env=os.environ | {"PYTHONPATH": str(ROOT)}, stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(child.pid, 0)
    if status:
        raise SystemExit(f"{command} failed")
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    processor = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return time.perf_counter() - begun, processor, usage.ru_maxrss / 1024


def screened(path, out, *more):
    """``advisor screen`` in a process of its own."""
    return timed(sys.executable, "-m", "advisor", "screen", path, "--rules", RULES, "--out", out, *more)


def main():
    """Run all of it."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("rows", nargs="?", type=int, default=1_000_000)
    options.add_argument("--small", type=int, default=100_000)
    options.add_argument("--same", action="store_true", help="also three chunk sizes and one process: the same bytes")
    chosen = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        large, small = folder / "large.csv", folder / "small.csv"
        write(chosen.rows, large)
        write(chosen.small, small)
        print(f"{chosen.rows:,} rows, {large.stat().st_size / 1e6:,.0f} MB")
        ours = screened(large, folder / "large")
        pandas = timed(sys.executable, "-c", PANDAS, large, folder / "pandas.csv")
        arrow = timed(sys.executable, "-c", ARROW, large, folder / "arrow.csv")
        of_small = screened(small, folder / "small")
        for name, (clock, processor, peak) in {
            "advisor screen": ours,
            "pandas, read and write": pandas,
            "Arrow, read and write": arrow,
            f"advisor screen, {chosen.small:,} rows": of_small,
        }.items():
            print(f"{name:<36}{clock:8.1f} s {processor:8.1f} s of processor {peak:8.0f} MB")
        print(f"against pandas {ours[0] / pandas[0]:.2f}, against Arrow {ours[0] / arrow[0]:.2f} on the clock")
        print(f"against pandas {ours[1] / pandas[1]:.2f}, against Arrow {ours[1] / arrow[1]:.2f} of the processor")
        print(f"memory at {chosen.rows:,} against {chosen.small:,} rows: {ours[2] / of_small[2]:.2f}")
        if chosen.same:
            hashes = set()
            for more in (["--chunk-rows", "7919"], ["--chunk-rows", "200000"], ["--processes", "1"], []):
                screened(small, folder / "again", *more)
                hashes.add(hashlib.sha256((folder / "again" / "decisions.csv").read_bytes()).hexdigest())
            print(f"different outputs of {chosen.small:,} rows: {len(hashes)}")


if __name__ == "__main__":
    main()
