"""The ground: errors, paths, units, tables, the mark of a published formula, validation and verdicts."""
