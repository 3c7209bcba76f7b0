"""Thirty people at once for two minutes against the app on this machine: no error, no case leaking, and how quick.

Run by hand: python tests/speed/load_sessions.py [--sessions 30] [--seconds 120] [--pause 5]. It starts the app itself
and speaks the browser's own web socket. Each person opens a new house, looks at the answer for some seconds, and opens
the next; hardly any house comes twice, so that every answer is computed anew. Each answer must carry that session's
city and number of people and no other's.
"""

import argparse
import asyncio
import random
import statistics
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "browser"))

import websockets
from conftest import HOST, free_port, start_server
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

CITIES = [
    ("55811", "Duluth, MN"),
    ("85004", "Phoenix, AZ"),
    ("98101", "Seattle, WA"),
    ("60601", "Chicago, IL"),
    ("33101", "Miami, FL"),
    ("80202", "Denver, CO"),
    ("04401", "Bangor, ME"),
    ("78205", "San Antonio, TX"),
    ("97201", "Portland, OR"),
    ("37201", "Nashville, TN"),
]
#: How often memory and files are looked at.
PARTS = 6


async def one_run(socket, query, page=""):
    """Ask for a page with these answers in the link; collect what it shows until it is finished."""
    message = BackMsg()
    message.rerun_script.query_string = query
    message.rerun_script.page_name = page
    await socket.send(message.SerializeToString())
    shown = []
    while True:
        reply = ForwardMsg()
        reply.ParseFromString(await asyncio.wait_for(socket.recv(), 120))
        kind = reply.WhichOneof("type")
        if kind == "delta" and reply.delta.WhichOneof("type") == "new_element":
            element = reply.delta.new_element
            if element.WhichOneof("type") == "exception":
                raise RuntimeError(element.exception.message)
            shown.append(str(element))
        if kind == "script_finished":
            return "\n".join(shown)


async def session(number, address, until, pause_s, times):
    """One person: a session of its own for each answer, as a link opened anew."""
    zip_code, city = CITIES[number % len(CITIES)]
    chance = random.Random(number)
    await asyncio.sleep(chance.uniform(0, pause_s))
    while time.monotonic() < until:
        people, set_point = chance.randint(1, 6), round(chance.uniform(110, 140), 1)
        query = (
            f"zip={zip_code}&people={people}&failed=electricity&fuels=electricity,natural_gas&gallons=50"
            f"&setpoint={set_point}"
        )
        async with websockets.connect(f"{address}/_stcore/stream", subprotocols=["streamlit"], max_size=None) as socket:
            started = time.monotonic()
            shown = await one_run(socket, query)
            times.append(time.monotonic() - started)
        spoken = "1 person" if people == 1 else f"{people} people"
        wanted = f"{city} \\302\\267 {spoken}"
        if wanted not in shown and f"{city} · {spoken}" not in shown:
            raise AssertionError(f"session {number} asked for {city}, {spoken} and was shown something else")
        others = [other for _, other in CITIES if other != city and other in shown]
        if others:
            raise AssertionError(f"session {number} of {city} was shown {others}")
        await asyncio.sleep(pause_s * chance.uniform(0.5, 1.5))


async def pulse(port, until, beats):
    """Ask the server twice a second whether it lives, and note how long it takes to say so."""
    while time.monotonic() < until:
        started = time.monotonic()
        reader, writer = await asyncio.open_connection(HOST, port)
        writer.write(f"GET /_stcore/health HTTP/1.1\r\nHost: {HOST}:{port}\r\nConnection: close\r\n\r\n".encode())
        said = await asyncio.wait_for(reader.read(), 30)
        writer.close()
        assert said.endswith(b"ok"), said[-200:]
        beats.append(time.monotonic() - started)
        await asyncio.sleep(0.5)


async def crowd(numbers, seconds, pause_s, port, beats):
    times = []
    until = time.monotonic() + seconds
    address = f"ws://{HOST}:{port}"
    people = (session(number, address, until, pause_s, times) for number in numbers)
    await asyncio.gather(pulse(port, until, beats), *people)
    return times


def held_by(pid):
    """Memory of a process and how many files it holds open, where the system tells."""
    status = Path(f"/proc/{pid}/status")
    if not status.exists():
        return "not told on this system"
    kilobytes = next(line.split()[1] for line in status.read_text().splitlines() if line.startswith("VmRSS"))
    return f"{int(kilobytes) / 1000:.0f} MB and {len(list(Path(f'/proc/{pid}/fd').iterdir()))} files"


def main():
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--sessions", type=int, default=30)
    options.add_argument("--seconds", type=float, default=120)
    options.add_argument("--pause", type=float, default=5, help="seconds that a person looks at an answer, on average")
    chosen = options.parse_args()
    port, beats = free_port(), []
    server = start_server(port)
    try:
        alone = asyncio.run(crowd(range(1), 10, 0.5, port, beats))
        held, times = [held_by(server.pid)], []
        for part in range(PARTS):
            # Other people in each part, who live in other houses.
            numbers = range(part * chosen.sessions, (part + 1) * chosen.sessions)
            times += asyncio.run(crowd(numbers, chosen.seconds / PARTS, chosen.pause, port, beats))
            held.append(f"after {len(times)} answers {held_by(server.pid)}")
    finally:
        server.terminate()
    ordered = sorted(times)
    print(f"one session alone: median {statistics.median(alone):.2f} s over {len(alone)} answers")
    print(
        f"{chosen.sessions} sessions: {len(times)} answers without an error or a leak, median"
        f" {statistics.median(times):.2f} s, 95th percentile {ordered[int(0.95 * len(ordered))]:.2f} s,"
        f" {statistics.median(times) / statistics.median(alone):.1f} times one alone"
    )
    usual, longest = statistics.median(beats), max(beats)
    print(f"asked {len(beats)} times whether it lives, it said so in {usual:.3f} s, at the longest in {longest:.2f} s")
    print("the server held before all", *held, sep="\n  ")


if __name__ == "__main__":
    main()
