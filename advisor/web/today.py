"""What to do today, tonight and on the phone in this house, and what people ask next."""

from __future__ import annotations

import streamlit as st

from advisor.candidate import Candidate
from advisor.comparison import Comparison
from advisor.core.findings import Finding, note
from advisor.house.lead_time import stopgaps
from advisor.report import plain_words
from advisor.report.decision_text import called, to_ask
from advisor.web.widgets import is_si, plain
from advisor.web.words import household_words, kind_word, language, say

#: Louder than a room in which a fridge hums; quieter than that nobody hears it. [dBA]
_LOUD_DBA, _QUIET_DBA = 51.0, 41.0
_ABOVE_ROOMS = ("attic",)
_OF_A_LEAK = ("stopgap.leak", "stopgap.box_leak", "stopgap.boiler_leak")


def show(comparison: Comparison, chosen: Candidate) -> None:
    """Today, tonight, the phone, and further questions."""
    st.subheader(say("today.title"))
    _list(today(comparison))
    st.markdown(f"**{say('today.tonight')}**")
    _list(tonight(comparison))
    st.markdown(f"**{say('today.phone')}**")
    st.markdown(plain(on_the_phone(comparison, chosen)))
    _list(to_ask(comparison, chosen))
    with st.expander(say("qa.title")):
        for name, answer in further(comparison, chosen):
            st.markdown(f"**{say(f'qa.{name}.title')}**  \n{say(answer)}")


def _list(lines: list[Finding]) -> None:
    st.markdown("\n".join(f"- {say(line)}" for line in lines))


def today(comparison: Comparison) -> list[Finding]:
    """What helps today, for what failed and how."""
    failed, house = comparison.case.failed, comparison.case.house
    hints = stopgaps(failed.fuel, failed.kind)
    found = [note(f"today.{failed.trouble}")] if failed.trouble in ("noise", "too_little") else []
    # Who knows whether it leaks need not read of the other.
    found += [
        hint for hint in hints if failed.trouble is None or (hint.code in _OF_A_LEAK) == (failed.trouble == "leaks")
    ]
    if failed.trouble in (None, "leaks", "nothing"):
        found.append(note("today.bridge"))
    if house.is_flat:
        found.append(note("today.flat"))
    return found


def tonight(comparison: Comparison) -> list[Finding]:
    """Until the new one runs."""
    failed = comparison.case.failed
    found = []
    if failed.trouble == "leaks":
        found.append(note("tonight.leak"))
        if comparison.circumstances.heater_space in _ABOVE_ROOMS or comparison.case.house.is_over_living_space:
            found.append(note("tonight.attic"))
    if failed.trouble not in ("too_little", "noise"):  # these two still have hot water
        found.append(note("tonight.wash"))
    if failed.has_flame:
        found.append(note("tonight.off"))
        found.append(note("tonight.burns"))
    return found


def on_the_phone(comparison: Comparison, chosen: Candidate) -> str:
    """What to say, filled in."""
    failed = comparison.case.failed
    name = called(comparison, chosen, language=language(), si=is_si())
    if chosen.heater.is_condensing and not chosen.heater.is_own:
        name = say("phone.condensing", heater=name)  # who is phoned knows the trade's word
    return say(
        "phone.say",
        what=say(f"phone.what.{failed.trouble}" if failed.trouble else "phone.what"),
        old=f"{say(f'kind.{failed.kind}')} ({kind_word(failed.fuel)})",
        space=say(f"space.{comparison.circumstances.heater_space}"),
        people=household_words(comparison.case.household),
        heater=plain_words.with_article(name, language()),
    )


def further(comparison: Comparison, chosen: Candidate) -> list[tuple[str, Finding]]:
    """What people ask next, and the answer for this heater in this house."""
    heater, same = chosen.heater, comparison.advice.same_again
    old = (chosen if same is None else same).costs.life
    failed = comparison.case.failed
    repair = "other"
    if failed.trouble == "leaks":
        repair = "pipe" if failed.kind == "tankless" else "leaks"
    noise = heater.noise_dba
    loud = "quiet" if noise < _QUIET_DBA else "fridge" if noise < _LOUD_DBA else "loud"
    power = "works" if heater.technology.pilot_btuh else "tank" if heater.is_storage else "none"
    return [
        ("repair", note(f"qa.repair.{repair}", years=f"{old.mean_yr:.0f}")),
        ("life", note("qa.life.text", years=f"{chosen.costs.life.mean_yr:.0f}")),
        ("noise", note(f"qa.noise.{loud}", noise=f"{noise:.0f}")),
        ("room", note("qa.room.text", high=f"{heater.height_in:.0f}", wide=f"{heater.width_in:.0f}")),
        ("power", note(f"qa.power.{power}")),
        ("self", note("qa.self.text")),
        ("rent", note("qa.rent.text")),
        ("away", note("qa.away.text")),
    ]
