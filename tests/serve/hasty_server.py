"""`tripkit serve`, with less patience: what takes half a minute takes a second or two here."""

from __future__ import annotations

import sys

from tripkit.commands.line import main
from tripkit.serve import kernels

if __name__ == "__main__":
    kernels.BROKEN_LINE_SECONDS = 1.0
    kernels.LOADING_SECONDS = 4.0
    kernels.LOOK_EVERY_SECONDS = 0.2
    sys.exit(main(sys.argv[1:]))
