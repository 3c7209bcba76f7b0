import streamlit as st

st.title("panel_and_drain")
