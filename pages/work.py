"""What work comes with it? The jobs for one candidate, their prices and their reasons."""

from advisor.web import work_page

work_page.draw()
