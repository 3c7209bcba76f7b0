"""What is handed over: one list of blocks from a comparison, written as PDF or as a page of HTML."""
