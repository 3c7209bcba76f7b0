"""Vent and air: the flue that is there, the new run and its limit, what is left behind, air for the flame."""

from advisor.web import vent_page

vent_page.draw()
