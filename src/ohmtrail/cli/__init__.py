"""The command line: parses, calls the workbench, prints."""

from ohmtrail.cli.app import main

__all__ = ["main"]
