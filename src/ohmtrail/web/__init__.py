"""The page beside the machine: served from the user's own computer, by the same verbs as the command line."""

from ohmtrail.web.app import make_app
from ohmtrail.web.doorkeeper import Doorkeeper
from ohmtrail.web.serving import PORT, Listening, address, code_lines, listen, run, server_of
from ohmtrail.web.shelf import Shelf

__all__ = ["PORT", "Doorkeeper", "Listening", "Shelf", "address", "code_lines", "listen", "make_app", "run", "server_of"]
