"""The bench on a machine that has compiled nothing yet: made ready while the hand method answers, and told about."""

from __future__ import annotations

import functools
import threading
from collections.abc import Callable

import streamlit as st

from advisor.bench import machine_code
from advisor.web.words import say, typed

_troubles: list[str] = []


@functools.cache
def begin() -> None:
    """Have the bench compiled, once, by other processes."""
    threading.Thread(target=_wait, daemon=True).start()


def _wait() -> None:
    try:
        machine_code.prepare(gently=True)
    except machine_code.NoBenchError as error:
        _troubles.append(str(error))


@st.fragment(run_every=1.0)
def tell(can_bench: Callable[[], bool]) -> None:
    """Say that the hand method answers so far, and draw the page again once the bench can."""
    if can_bench():
        st.rerun()
    if machine_code.is_ready():
        st.caption(say("frame.labels"))
        return
    for trouble in _troubles:
        st.caption(say("frame.no_bench", why=typed(trouble)))
        return
    st.caption(say("frame.by_hand"))
