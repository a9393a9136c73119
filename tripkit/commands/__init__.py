"""The command line: `tripkit` and `python -m tripkit`; each command calls one door.

`line` the commands, `printouts` and `findings` what they print, `terminal` control signs shown as
escapes.

Never imported by anything but `__main__`; holds no arithmetic of its own.
"""

from tripkit.commands.line import main, run_and_leave

__all__ = ["main", "run_and_leave"]
