"""``python -m rigmargin`` is ``rigmargin``."""

import os
import sys

if sys.path[0] in ("", os.getcwd()):  # put there by ``-m``: a Python file beside a rig is not to be imported by its name
    del sys.path[0]

from rigmargin.cli import main

sys.exit(main())
