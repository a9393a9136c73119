"""`tripkit serve`, with less patience for a page that is left, and more for one that loads."""

from __future__ import annotations

import sys

from tests.patience import PATIENCE_SECONDS
from tripkit.commands.line import main
from tripkit.serve import kernels

if __name__ == "__main__":
    kernels.BROKEN_LINE_SECONDS = 5.0
    kernels.LOADING_SECONDS = PATIENCE_SECONDS
    kernels.LOOK_EVERY_SECONDS = 0.2
    sys.exit(main(sys.argv[1:]))
