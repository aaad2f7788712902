"""`python -m quotelib`: see cli.py."""

import sys

from quotelib.cli import main

sys.exit(main())
