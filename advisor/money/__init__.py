"""What it costs to run and to own."""
