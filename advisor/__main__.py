"""``python -m advisor`` is the command ``advisor``."""

import sys

from .cli import main

sys.exit(main())
