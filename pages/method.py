import streamlit as st

st.title("method")
