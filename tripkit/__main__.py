"""`python -m tripkit`: the same as the command `tripkit`."""

from tripkit.commands.line import run_and_leave

if __name__ == "__main__":
    run_and_leave()
