"""The version, where nothing heavy is imported."""

__version__ = "0.1.0"
