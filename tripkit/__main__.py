"""`python -m tripkit`: the same as the command `tripkit`."""

from tripkit.commands import run_and_leave

if __name__ == "__main__":
    run_and_leave()
