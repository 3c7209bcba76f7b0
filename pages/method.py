"""How do we know? Every formula to run, every table with its state, and what is not verified."""

from advisor.web import method_page

method_page.draw()
