"""``python -m sim`` is the command ``frogbench``, without installing it."""

from __future__ import annotations

import sys

from sim.cli import main

sys.exit(main())
