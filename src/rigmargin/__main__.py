"""``python -m rigmargin`` is ``rigmargin``."""

import sys

from rigmargin.cli import main

sys.exit(main())
