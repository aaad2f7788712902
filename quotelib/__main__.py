"""`python -m quotelib`: see cli/."""

import sys

from quotelib.cli import main

sys.exit(main())
