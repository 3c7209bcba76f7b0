"""What makes a kernel, a loop over time that is compiled, and the columns that the kernels read and write.

A kernel is an ordinary Python function. ``compiling`` makes machine code of it in a process of its own, and
``machine_code`` runs that; with ``NUMBA_DISABLE_JIT=1`` the same functions run as plain Python and give the same
numbers.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar, cast

from advisor.bench import machine_code

F = TypeVar("F", bound=Callable[..., Any])

# A segment is a stretch of time in which the flow stays the same: start and end [min], mixed flow [gpm] and the
# temperature it is used at [°F], flow that is taken all hot [gpm], and the row of the month.
START_MIN, END_MIN, MIXED_GPM, USE_F, ALL_HOT_GPM, MONTH = 0, 1, 2, 3, 4, 5
SEGMENT_SIZE = 6

# What a run notes of each segment: hot gallons and their heat above the inlet; the mean outlet as the test method
# reads it (from 5 s on); the coldest tap and the minutes below the limit, both after the wait that is forgiven;
# whether the burner ran; minutes in which a flow-limiting valve cut the flow by more than a tenth.
HOT_GAL, HEAT_BTU, READ_F, LOW_F, SHORT_MIN, LIT, SLOW_MIN = 0, 1, 2, 3, 4, 5, 6
OUTCOME_SIZE = 7

# A trace holds each step of each draw: start and length [min], outlet [°F], hot flow [gpm],
# and the temperature that the hand at the tap has mixed for [°F].
TRACE_MIN, TRACE_STEP_MIN, TRACE_OUTLET_F, TRACE_GPM, TRACE_HAND_F = 0, 1, 2, 3, 4
TRACE_SIZE = 5

#: A draw's temperature is read from 5 s on: 10 CFR 430 subpart B app. E secs. 5.4.2 and 5.4.3.
READ_FROM_MIN = 5 / 60

#: In the compiling process, what compiles a function; everywhere else a kernel stays the Python function it is.
compiled_with: Callable[[Any], Any] | None = None


def kernel(function: F) -> F:
    """Mark a function that other kernels call.

    Division follows numpy (no check for zero), so a kernel must never divide by zero: plain Python would stop there.
    """
    return function if compiled_with is None else cast(F, compiled_with(function))


def entry(function: F) -> F:
    """Mark a kernel that Python calls: outside the compiling process, its machine code runs in its place."""
    if compiled_with is not None or machine_code.is_plain():
        return kernel(function)
    name = f"{function.__module__.rpartition('.')[2]}.{function.__name__}"

    @wraps(function)
    def run(*arguments: Any) -> Any:
        return machine_code.run(name, arguments)

    return cast(F, run)
