import streamlit as st

st.title("vent_and_air")
