"""Offers side by side, typed or from a spreadsheet, what to ask about each, and the document that is handed over."""

from advisor.web import offers_page

offers_page.draw()
