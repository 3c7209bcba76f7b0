"""The job book: jobs by customer and day, opened, kept, copied and put away."""

from advisor.web import book_page

book_page.draw()
