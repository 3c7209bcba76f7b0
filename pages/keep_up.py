"""Will it keep up? The busy morning on the bench."""

from advisor.web import keep_up_page

keep_up_page.draw()
