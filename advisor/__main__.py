"""``python -m advisor`` is the command line; without a command it opens the app."""

import sys

from advisor.cli import main

raise SystemExit(main(sys.argv[1:] or ["serve"]))
