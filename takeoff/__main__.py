"""Run the command line as `python -m takeoff`."""

from takeoff.cli import main

main()
