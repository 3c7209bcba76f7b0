"""The colors of the app, light and dark."""

from __future__ import annotations

#: One accent and a warm paper ground; the same in the development file .streamlit/config.toml.
THEME = {
    "theme.light.primaryColor": "#9a4a1c",
    "theme.light.backgroundColor": "#fffdf9",
    "theme.light.secondaryBackgroundColor": "#f4eee4",
    "theme.light.textColor": "#14110d",
    "theme.light.linkColor": "#7a3a14",
    "theme.light.borderColor": "#d9cfbf",
    "theme.dark.primaryColor": "#b85a22",
    "theme.dark.backgroundColor": "#1c1a17",
    "theme.dark.secondaryBackgroundColor": "#2a2622",
    "theme.dark.textColor": "#f3ede3",
    "theme.dark.linkColor": "#f0b48a",
    "theme.dark.borderColor": "#5a5147",
    "theme.baseRadius": "small",
}
