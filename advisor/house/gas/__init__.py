"""Gas piping: equations, pipes, the house as a tree, three methods, and the ways out, in that order."""
