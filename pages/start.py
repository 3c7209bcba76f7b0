"""Four questions, then the answer: what to put in, what it costs, whether it keeps up, what to do today."""

import streamlit as st

from advisor.web import answer, questions, session, state
from advisor.web.words import say

if session.current().step:
    questions.ask()
else:
    answer.care()
    if session.current().is_demo:
        with st.container(horizontal=True, vertical_alignment="center"):
            st.markdown(say("start.demo"))
            st.button(say("start.own"), key="own_house", type="primary", on_click=questions.start)
    answer.show(state.comparison())
    if not session.current().is_demo:
        st.button(say("start.again"), key="ask_again", on_click=questions.start)
    st.caption(say("start.estimate"))
