"""What the theme cannot say: how wide a line may run, how large a target is, what a phone and a sheet of paper show."""

from __future__ import annotations

import streamlit as st

from advisor.web.theme import THEME

_RULES = """
/* Streamlit's own hint beside a field is English only. */
[data-testid="InputInstructions"] { display: none; }
/* A zero is wider than most letters: so many of them hold 75 letters of a sentence. */
[data-testid="stMarkdownContainer"] :is(p, li), [data-testid="stAlert"] { max-width: 58ch; }
[data-testid="stMarkdownContainer"] a, [data-testid="stPageLink"] a span,
[data-testid="stBaseButton-tertiary"] p { text-decoration: underline; }
:is(button, a, summary, input, [role="radio"], [role="checkbox"], [role="tab"], [data-tag]):focus-visible {
  outline: 3px solid var(--ink) !important; outline-offset: 2px;
}
[data-testid="stMain"] :is([data-testid^="stBaseButton"], [data-testid="stPopoverButton"], summary,
[data-testid="stTextInputRootElement"], [data-testid="stPageLink"] a, [data-testid="stCheckbox"] label,
[role="radiogroup"] label, .react-aria-ComboBox > [role="group"], .react-aria-ComboBox button, [data-tag]) {
  min-height: 44px;
}
[data-testid="stMain"] [data-tag] button { min-width: 32px; }
/* The gray that letters of charts have on a light page is too light for small ones. */
.js-plotly-plot text[style*="rgb(128, 132, 149)"] { fill: var(--ink) !important; }
[data-testid="stMain"] :is([data-testid="stCheckbox"], [role="radiogroup"]) label { align-items: center; }
/* The sign beside each heading is a small target that nobody needs: the address holds the house already. */
[data-testid="stHeaderActionElements"] { display: none; }
/* The accent of a dark page is too dark for letters on it. */
@media screen and (prefers-color-scheme: dark) { [role="tab"][aria-selected="true"] p { color: #e08a50 !important; } }
/* The sheet to keep takes the paper for itself. */
@media screen { .st-key-sheet { display: none; } }
.st-key-sheet { font: 11pt/1.35 Georgia, serif; overflow-wrap: anywhere; }
.st-key-sheet h1 { font-size: 18pt; padding: 0; } .st-key-sheet h2 { font-size: 13pt; padding: 8pt 0 2pt; }
.st-key-sheet table { width: 100%; border-collapse: collapse; font-size: 10pt; overflow-wrap: normal; }
.st-key-sheet :is(td, th) { text-align: left; vertical-align: top; padding: 2pt 6pt 2pt 0; border-bottom: 1px solid; }
.st-key-sheet :is(.small, footer) { font-size: 9pt; margin: 3pt 0; }
/* Fields beside a picture stand two abreast on a tablet too. */
@media (min-width: 641px) and (max-width: 1100px) {
  [data-testid="stColumn"] [data-testid="stHorizontalBlock"] > [data-testid="stLayoutWrapper"]:has(
  > [data-testid="stVerticalBlock"] > [data-testid="stElementContainer"] :is([data-testid="stTextInput"],
  [data-testid="stSelectbox"])) { flex: 1 1 110px; min-width: 110px; }
}
/* The strip stands close below the navigation: what is projected shows the finding and its table at once. */
@media (min-width: 641px) { [data-testid="stMainBlockContainer"] { padding-top: 4.5rem; } }
@media (max-width: 640px) {
  [data-testid="stMain"] h1 { font-size: 1.75rem; line-height: 1.2; padding-top: 0.25rem; }
  [data-testid="stMain"] h2, [data-testid="stMain"] h3 { font-size: 1.25rem; }
  .st-key-changed:has([data-testid="stAlert"]) {
    position: fixed; left: 0; right: 0; bottom: 0; width: 100%; z-index: 999990; padding: 0.5rem;
    background: var(--ground);
  }
  [data-testid="stMainBlockContainer"] { padding-bottom: 9rem; }
}
"""

#: On paper: black on white whatever the screen was, nothing to press or to type into, and open what is folded.
_ON_PAPER = """
@page { margin: 14mm; }
@media print {
  html, body, #root, [data-testid="stApp"], [data-testid="stMain"], [data-testid="stMainBlockContainer"] {
    background: #fff !important; color: #000 !important; color-scheme: light;
  }
  [data-testid="stMain"] * {
    color: #000 !important; background: transparent !important; border-color: #999 !important;
    transition: none !important;
  }
  [data-testid="stMain"] :is([data-testid="stButton"], [data-testid="stPopover"], [data-testid="stFileUploader"],
  [data-testid="stDownloadButton"], [data-testid="stNumberInput"], [data-testid="stSelectbox"], [data-testid="stRadio"],
  [data-testid="stCheckbox"], [data-testid="stPageLink"], [data-testid="stButtonGroup"], [data-testid="stMultiSelect"],
  [data-testid="stTextInput"], [data-testid="stTextArea"], [data-testid="stDateInput"], [data-testid="stSlider"],
  [data-testid="stFormSubmitButton"], [data-testid="stDataFrame"], [data-testid="stIconMaterial"],
  .st-key-keep_answer, .st-key-hand_over, .st-key-address) {
    display: none !important;
  }
  /* A form is nothing to read; what was folded away is. */
  [data-testid="stExpander"]:has(input, textarea, [data-testid="stFileUploader"], [data-testid="stDataFrame"]) {
    display: none !important;
  }
  [data-testid="stExpander"] summary { padding: 0 !important; min-height: 0 !important; break-after: avoid; }
  [data-testid="stExpander"] summary p { font-weight: 700 !important; }
  [data-testid="stExpander"] details { border: 0; }
  [data-testid="stExpander"] details::details-content { content-visibility: visible; block-size: auto; }
  [data-testid="stAlert"] > div { border: 1px solid; }
  [data-testid="stExpanderDetails"] { height: auto !important; visibility: visible !important; opacity: 1 !important; }
  [data-testid="stColumn"], [data-testid="stElementContainer"]:has([data-testid="stDataFrame"]) {
    width: 100% !important; height: auto !important;
  }
  /* What only the screen can show has its name. */
  [data-testid="stElementContainer"]:has([data-testid="stDataFrame"])::after { content: "(A table: see the screen.)"; }
  :lang(es) [data-testid="stElementContainer"]:has([data-testid="stDataFrame"])::after {
    content: "(Una tabla: véala en la pantalla.)";
  }
  [role="tablist"] { flex-wrap: wrap; }
  [role="tab"]:not([aria-selected="true"]) p::after { content: " (not open)"; }
  :lang(es) [role="tab"]:not([aria-selected="true"]) p::after { content: " (sin abrir)"; }
  /* Letters and lines of charts; those that stand on a bar keep its contrast. */
  .js-plotly-plot text:not(.bartext-inside) { fill: #000 !important; }
  .js-plotly-plot .legend .bg { fill: none !important; stroke: none !important; }
  .js-plotly-plot .gridlayer path { stroke: #ddd !important; }
  .js-plotly-plot .zerolinelayer path { stroke: #666 !important; }
  /* Blocks, since rows and columns of boxes break badly over pages; a heading stays with what it heads. */
  [data-testid="stMainBlockContainer"] { padding: 0 !important; }
  :is([data-testid="stVerticalBlock"], [data-testid="stHorizontalBlock"]) { display: block !important; }
  :is([data-testid="stVerticalBlock"], [data-testid="stHorizontalBlock"]) > * + * { margin-top: 0.6rem; }
  [data-testid="stTable"], [data-testid="stTable"] * { overflow: visible !important; }
  [data-testid="stElementContainer"]:has([data-testid="stHeading"], + * [data-testid="stPlotlyChart"],
  + [data-testid="stPlotlyChart"]) { break-after: avoid; }
  [data-testid="stPlotlyChart"], tr, li, [data-testid="stMarkdownContainer"] p { break-inside: avoid; }
  [data-testid="stMainBlockContainer"]:has(.st-key-sheet) > [data-testid="stVerticalBlock"] >
  :not(:has(.st-key-sheet), .st-key-sheet) { display: none !important; }
}
"""


def _colors() -> str:
    """The theme's ink and ground, for what it does not reach."""
    told = {
        scheme: f"--ink: {THEME[f'theme.{scheme}.textColor']}; --ground: {THEME[f'theme.{scheme}.backgroundColor']};"
        for scheme in ("light", "dark")
    }
    return f":root {{ {told['light']} }} @media (prefers-color-scheme: dark) {{ :root {{ {told['dark']} }} }}"


def apply() -> None:
    """Send the rules with the page."""
    st.html(f"<style>{_colors()}{_RULES}{_ON_PAPER}</style>")
