"""Ohmtrail: fault finding in a machine's wiring, with a meter, a harness file and real electricity."""

from ohmtrail._version import __version__

__all__ = ["__version__"]
