"""Does it pay? Cost over the years and what would change the answer."""

from advisor.web import money_page

money_page.draw()
