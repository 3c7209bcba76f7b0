"""The gas line: pressure from the meter to every appliance, every pipe by the tables, the ways out."""

from advisor.web import gas_page

gas_page.draw()
