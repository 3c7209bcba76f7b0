"""Many applicants at once: a program's rules as data, arrays all the way, a reason for every row."""
