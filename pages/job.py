"""The job: every answer by topic, and heaters typed in from their labels."""

from advisor.web import job_page

job_page.draw()
