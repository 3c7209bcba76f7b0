"""The tests, as a package: another one of that name among the installed packages would hide them."""
