"""Keep the answer: on paper, white and without what can be pressed, or as a link."""

from __future__ import annotations

import streamlit as st

from advisor.web.words import say

_STYLE = """
div { display: flex; flex-wrap: wrap; gap: 0.75rem; align-items: center; }
button {
  min-height: 44px; padding: 0 1rem; font: inherit; cursor: pointer; border-radius: 0.25rem;
  color: var(--st-text-color); background: transparent; border: 1px solid var(--st-text-color);
}
button:focus-visible { outline: 3px solid currentColor; outline-offset: 2px; }
"""
_SCRIPT = """
export default function ({ data, parentElement }) {
  const [print, copy] = parentElement.querySelectorAll("button");
  const told = parentElement.querySelector("[role=status]");
  print.textContent = data.print;
  copy.textContent = data.copy;
  print.onclick = () => window.print();
  copy.onclick = async () => {
    try {
      await navigator.clipboard.writeText(location.href);
      told.textContent = data.copied;
    } catch {
      told.textContent = data.refused;
    }
  };
}
"""


def show() -> None:
    """Two buttons that the browser answers by itself."""
    with st.container(key="keep_answer"):
        st.components.v2.component(
            "keep_answer",
            html='<div><button></button><button></button><span role="status"></span></div>',
            css=_STYLE,
            js=_SCRIPT,
        )(
            data={name: say(f"keep.{name}") for name in ("print", "copy", "copied", "refused")},
            key="keep_answer_buttons",
        )
