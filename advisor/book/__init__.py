"""The job book: one readable file a job in a folder of the contractor's own."""
