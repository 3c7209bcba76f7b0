"""What only the browser can do: its address, its Back button, the page's language, and where the keyboard stands."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

#: Streamlit writes the address only by adding a step to the browser's history, one for every change; the way back
#: to the page before would then be as long as the list of changes. This puts it in place of the one that is there, and
#: adds a step for each question alone, so that Back goes from question to question. While the browser has gone where
#: the app has not followed yet, the address is left alone. What Streamlit writes for a link to another page lacks the
#: house; a link that is about to be used gets it, so that a new tab shows the same house.
_SCRIPT = """
const held = (window.advisorPage ??= { went: 0, waits: 0, step: null, tell: null });
const stepIn = () => new URLSearchParams(location.search).get("ask") || "";
const house = (query) => {
  const kept = new URLSearchParams(query);
  kept.delete("ask"); kept.delete("so_far");
  return kept.toString() ? "?" + query.split("&").filter((part) => !/^(ask|so_far)=/.test(part)).join("&") : "";
};
function listen() {
  if (held.listens) return;
  held.listens = true;
  addEventListener("popstate", () => {
    const step = stepIn();
    if (step === held.step || !held.tell) return;
    held.waits = ++held.went;
    held.tell("went", { step, count: held.went });
  });
  for (const kind of ["pointerdown", "keydown", "focusin", "contextmenu"])
    document.addEventListener(kind, (event) => {
      const link = event.target.closest?.("a[href]");
      if (link && link.origin === location.origin && !link.hasAttribute("download"))
        link.search = house(location.search.slice(1));
    }, true);
}
function settle(data) {
  const main = document.querySelector("[data-testid=stMain]");
  const heading = main?.querySelector("h1");
  if (heading && data.moved) {
    heading.tabIndex = -1;
    heading.style.outline = "none";
    heading.focus({ preventScroll: true });
    main.scrollTo(0, 0);
  }
  // The menu of a phone sets its groups as boxes into one list, which is none then: each group is a list of its own.
  for (const list of document.querySelectorAll("[data-testid=stSidebarNavItems]")) {
    const apart = [...list.querySelectorAll("li")].filter((item) => item.parentElement !== list);
    if (apart.length) list.setAttribute("role", "none");
    for (const item of apart) item.parentElement.setAttribute("role", "list");
  }
  for (const name of data.numeric) {
    const field = main?.querySelector(`.st-key-${name} input`);
    if (field) field.inputMode = "decimal";
  }
}
export default function ({ data, setTriggerValue }) {
  held.tell = setTriggerValue;
  listen();
  document.documentElement.lang = data.language;
  const moved = held.step !== null && held.step !== data.step;
  held.step = data.step;
  if (data.heard >= held.waits) {
    held.waits = 0;
    const wanted = data.query ? "?" + data.query : "";
    const there = location.pathname + wanted + location.hash;
    if (location.search !== wanted) {
      if (moved && stepIn() !== data.step) history.pushState(history.state, "", there);
      else history.replaceState(history.state, "", there);
    }
  }
  setTimeout(() => settle({ ...data, moved }), 150);
}
"""


def hold(
    query: str,
    page: str,
    *,
    language: str,
    step: str,
    heard: int,
    went: Callable[[str, int], None],
    numeric: tuple[str, ...] = (),
) -> None:
    """Keep the browser in step: the address at this link, so that a reload or a bookmark loses nothing.

    Parameters
    ----------
    query : str
        The part behind the question mark.
    page : str
        The page being drawn: going to another one wipes the address, so it has to be written again.
    language : str
        The language that the page is read aloud in.
    step : str
        The question that is asked, or nothing; where it is another one than before, its heading takes the keyboard.
    heard : int
        How often the browser's Back or Forward was followed.
    went : callable
        Told the question that Back or Forward led to, and how often they were used.
    numeric : tuple of str
        Keys of fields for which a phone shows its digits.
    """

    def follow() -> None:
        told = st.session_state["address"].get("went")
        if isinstance(told, dict):
            went(str(told.get("step", "")), int(told.get("count", 0)))

    st.components.v2.component("address", js=_SCRIPT)(
        data={
            "query": query,
            "page": page,
            "language": language,
            "step": step,
            "heard": heard,
            "numeric": list(numeric),
        },
        key="address",
        width=1,
        height=1,
        on_went_change=follow,
    )
