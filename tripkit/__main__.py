"""`python -m tripkit`: the same as the command `tripkit`."""

from tripkit.commands import main

if __name__ == "__main__":
    raise SystemExit(main())
