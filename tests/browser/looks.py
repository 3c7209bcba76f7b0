"""How a page looks to whoever sees little, taps with a thumb or reads by machine; for the browser tests."""

#: Letters of a line (WCAG 2.2, 1.4.8 asks for 80 at most); contrast of letters (1.4.3) and of lines and rings (1.4.11).
MOST_LETTERS, INK_CONTRAST, LINE_CONTRAST = 75, 4.5, 3.0
#: Contrast by WCAG 2.2, "relative luminance"; what is measured stands on the page's ground.
MEASURE = """
  const main = document.querySelector("[data-testid=stMain]");
  const seen = (one) => one.checkVisibility({ visibilityProperty: true, contentVisibilityAuto: true });
  const shown = (what) => [...main.querySelectorAll(what)].filter(seen);
  const look = (one, name) => getComputedStyle(one)[name];
  const channel = (c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4);
  const light = (color) => {
    const [r, g, b] = color.match(/[\\d.]+/g).map((c) => channel(c / 255));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const contrast = (color) => {
    const ground = getComputedStyle(document.querySelector(".stApp")).backgroundColor;
    const [more, less] = [light(color), light(ground)].sort((a, b) => b - a);
    return (more + 0.05) / (less + 0.05);
  };
"""
EASY_TO_SEE = f"""() => {{ {MEASURE}
  const lines = [];
  for (const block of shown("[data-testid=stMarkdownContainer] :is(p, li)")) {{
    if (block.closest("table, button, summary, label")) continue;
    const rows = new Map(), walker = document.createTreeWalker(block, NodeFilter.SHOW_TEXT), range = new Range();
    for (let node = walker.nextNode(); node; node = walker.nextNode())
      for (let at = 0; at < node.length; at++) {{
        range.setStart(node, at); range.setEnd(node, at + 1);
        const box = range.getBoundingClientRect(), row = Math.round(box.bottom / 6);
        if (box.width) rows.set(row, (rows.get(row) ?? "") + node.data[at]);
      }}
    lines.push(...rows.values());
  }}
  const letters = ".js-plotly-plot text:not(.bartext-inside, .annotation-text):not(.heatmap-label *)";
  return {{
    letters: shown(letters).filter((one) => one.textContent.trim()).map((one) => contrast(look(one, "fill"))),
    lines: shown(".js-plotly-plot .shapelayer path").map((one) => look(one, "stroke"))
      .filter((ink) => !/none|, 0\\)/.test(ink)).map(contrast),
    longest: lines.sort((a, b) => b.length - a.length)[0] ?? "",
    plain: shown("a[href]").filter((one) => ![one, ...one.querySelectorAll("*")]
      .some((part) => look(part, "textDecorationLine").includes("underline"))).map((one) => one.outerHTML),
    low: shown("summary, [role=radiogroup] label, [data-testid=stCheckbox] label, .react-aria-ComboBox > [role=group]")
      .filter((one) => one.offsetHeight && one.offsetHeight < 44).map((one) => one.outerHTML.slice(0, 150)),
  }};
}}"""


def is_easy_to_see(window):
    """Letters and lines of charts, short lines of text, links as links, targets."""
    charts_are_drawn(window)
    found = window.page.evaluate(EASY_TO_SEE)
    assert min(found["letters"], default=21) >= INK_CONTRAST and min(found["lines"], default=21) >= LINE_CONTRAST
    assert len(found["longest"]) <= MOST_LETTERS, found["longest"]
    assert found["plain"] == [] and found["low"] == []


def charts_are_drawn(window):
    window.until(
        "() => [...document.querySelectorAll('[data-testid=stPlotlyChart]')].every((one) => one.querySelector('svg'))"
    )


def turn(window, scheme):
    """The reader's device goes dark or light, and the page with it."""
    window.page.emulate_media(color_scheme=scheme)
    window.until(
        "dark => dark === /rgb\\((\\d|[1-4]\\d), /"
        ".test(getComputedStyle(document.querySelector('.stApp')).backgroundColor)",
        scheme == "dark",
    )
    window.settle()


def is_accessible(window):
    """By axe-core, an open accessibility checker; and what is tapped in a question is 44 px high."""
    from axe_playwright_python.sync_playwright import Axe

    # The menu of a phone is mended a moment after it is drawn.
    window.page.wait_for_timeout(400)
    # Colours move over when the device goes dark; what is still between them is looked at once more.
    for again_ms in (0, 2000):
        window.page.wait_for_timeout(again_ms)
        found = Axe().run(window.page).response["violations"]
        grave = [item for item in found if item["impact"] in {"serious", "critical"}]
        if not grave:
            break
    told = [(item["id"], item["nodes"][0]["html"][:160], len(item["nodes"])) for item in grave]
    assert not grave, told
    low = window.page.evaluate(
        "() => [...document.querySelectorAll('[data-testid=stMain] [data-testid^=stBaseButton-]')]"
        ".filter((one) => one.offsetHeight && one.offsetHeight < 44 && one.checkVisibility())"
        ".map((one) => one.innerText)"
    )
    assert not [text for text in low if text.strip()], low
