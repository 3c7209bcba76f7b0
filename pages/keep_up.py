import streamlit as st

st.title("keep_up")
