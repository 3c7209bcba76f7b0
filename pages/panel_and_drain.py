"""Panel and drain: service load, circuits, condensate, the water side, and what to read when it runs."""

from advisor.web import panel_page

panel_page.draw()
