"""Tampered links, opened on a running server by several people at once: each is answered, and the server lives on.

It speaks the browser's own web socket, with this machine alone.
"""

from __future__ import annotations

import asyncio
import random
import time
from urllib.parse import urlencode

import websockets

from tests.attack.generators import GENERATORS
from tests.browser.conftest import HOST, free_port, start_server
from tests.browser.windows import PAGES
from tests.speed.load_sessions import one_run, pulse

PEOPLE = 4
#: The longest that the server may be silent while it reads what somebody sends, and that an answer may take.
SILENT_S, ANSWER_S = 1.0, 5.0


def served_links(count: int, seed: int, seconds: float) -> list[str]:
    """Open links one after another; what is wrong, with the seed that makes the link again."""
    port = free_port()
    server = start_server(port)
    try:
        return asyncio.run(_all_opened(port, count, seed, seconds))
    finally:
        server.terminate()
        server.wait(10)


async def _all_opened(port: int, count: int, seed: int, seconds: float) -> list[str]:
    late, wrong, took_s, beats_s = time.monotonic() + seconds, [], [], []
    numbers = iter(range(seed, seed + count))

    async def person() -> None:
        for number in numbers:
            if time.monotonic() > late:
                return
            chance = random.Random(f"links {number}")
            query, _ = GENERATORS["links"][1](chance)
            page = chance.choice(PAGES)
            began = time.monotonic()
            try:
                await _opened(port, page, urlencode(query, errors="replace"))
            except Exception as error:  # this is what is looked for
                wrong.append(f"links {number} on /{page}: {type(error).__name__}: {str(error)[:300]}")
            took_s.append(time.monotonic() - began)
            if took_s[-1] > ANSWER_S:
                wrong.append(f"links {number} on /{page}: {took_s[-1]:.1f} s")

    for page in PAGES:  # what is read once in the life of a server
        await _opened(port, page, "")
    watch = asyncio.create_task(pulse(port, float("inf"), beats_s))
    await asyncio.gather(*(person() for _ in range(PEOPLE)))
    watch.cancel()
    wrong += [
        f"its life: {error}"
        for error in await asyncio.gather(watch, return_exceptions=True)
        if isinstance(error, Exception)
    ]
    ordered = sorted(took_s)
    print(
        f"{len(ordered):,} links opened: {len(wrong)} wrong, in {ordered[len(ordered) // 2]:.2f} s,"
        f" 99 % within {ordered[int(0.99 * len(ordered))]:.2f} s, the longest in {ordered[-1]:.2f} s; asked"
        f" {len(beats_s):,} times whether it lives, the server said so in {max(beats_s):.2f} s at the longest"
    )
    if max(beats_s) > SILENT_S:
        wrong.append(f"the server was silent for {max(beats_s):.1f} s")
    return wrong


async def _opened(port: int, page: str, query: str) -> None:
    address = f"ws://{HOST}:{port}/_stcore/stream"
    async with websockets.connect(address, subprotocols=["streamlit"], max_size=None) as socket:
        await one_run(socket, query, page)
