"""A port for a server that a test starts."""

from __future__ import annotations

import random
import socket

# Below what systems give to whoever asks for any port (Linux: from 32768), so that no connection of
# another test takes it before the server does.
PORTS = range(20_000, 32_000)


def find_port() -> int:
    """A port of this machine that is free now."""
    dice = random.SystemRandom()
    while True:
        port = dice.choice(PORTS)
        try:
            socket.create_server(("127.0.0.1", port)).close()
        except OSError:
            continue
        return port
