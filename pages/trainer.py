"""The trainer's table: flow by rise and month, another tap, units in parallel, pipes and loops."""

from advisor.web import trainer_page

trainer_page.draw()
