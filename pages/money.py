import streamlit as st

st.title("money")
