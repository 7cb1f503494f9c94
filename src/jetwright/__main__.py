"""`python -m jetwright` is the command `jetwright`."""

from jetwright.cli import main

main()
