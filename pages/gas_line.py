import streamlit as st

st.title("gas_line")
