"""Who is paid? A program's applicants against its rules: decisions, reasons, savings and the budget."""

from advisor.web import screening_page

screening_page.draw()
