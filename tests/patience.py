"""How long a test waits for what may never come. No bound: a machine may be as slow as it likes."""

from __future__ import annotations

PATIENCE_SECONDS = 300
