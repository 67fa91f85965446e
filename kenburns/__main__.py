"""`python -m kenburns`."""

from .cli import main

main()
