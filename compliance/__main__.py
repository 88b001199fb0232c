"""`python -m compliance` is the command `compliance`."""

from compliance.cli import main

main()
