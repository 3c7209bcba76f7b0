"""The app: the only part that imports Streamlit."""
