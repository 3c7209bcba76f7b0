"""Four questions, then the answer: what to put in, what it costs, whether it keeps up, what to do today."""

import streamlit as st

from advisor.web import answer, questions, state
from advisor.web.words import say

if st.session_state.get("step", 0):
    questions.ask()
else:
    answer.care()
    if st.session_state.is_demo:
        with st.container(horizontal=True, vertical_alignment="center"):
            st.markdown(say("start.demo"))
            st.button(say("start.own"), key="own_house", type="primary", on_click=questions.begin)
    answer.show(state.comparison())
    if not st.session_state.is_demo:
        st.button(say("start.again"), key="ask_again", on_click=questions.begin)
    st.caption(say("start.estimate"))
