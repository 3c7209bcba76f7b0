"""What are the choices? Every candidate side by side."""

from advisor.web import compare_page

compare_page.draw()
