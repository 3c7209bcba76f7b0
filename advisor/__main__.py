"""``python -m advisor`` is the command line."""

from advisor.cli import main

raise SystemExit(main())
