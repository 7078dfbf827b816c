"""Lets ``python -m hillwright`` do what the command does."""

import sys

from hillwright.cli import main

if __name__ == "__main__":
    sys.exit(main())
