"""The socket, the addresses and the server."""

from __future__ import annotations

import socket
from dataclasses import dataclass

import segno
import uvicorn
from starlette.types import ASGIApp

from ohmtrail.errors import InputError

__all__ = ["PORT", "Listening", "address", "code_lines", "listen", "run", "server_of"]

#: not registered for anything; own choice
PORT = 8419
#: modules of light around a QR code (ISO/IEC 18004, section 5.3.8)
_QUIET = 4
_SHAPES = {(True, True): "█", (True, False): "▀", (False, True): "▄", (False, False): " "}


@dataclass(frozen=True)
class Listening:
    """A socket that is bound, and the names under which it is reached, the one for people first."""

    socket: socket.socket
    hosts: tuple[str, ...]


def listen(port: int = PORT, *, share: bool = False) -> Listening:
    """Bind a socket.

    Parameters
    ----------
    port : int
        0 for any free one.
    share : bool
        Whether the local network reaches it; else this computer alone.

    Returns
    -------
    Listening
        Bound, not served yet.

    Raises
    ------
    InputError
        The port is taken, or there is no network to share on.
    """
    here = _own_address() if share else "127.0.0.1"
    made = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        made.bind((here, port))
        made.listen(64)
    except OSError as error:
        made.close()
        raise InputError(f"port {port} cannot be had: {error.strerror or error}; try another with --port, or --port 0 for any") from None
    number = made.getsockname()[1]
    names = [here] if share else [here, "localhost"]
    return Listening(made, tuple(f"{name}:{number}" for name in names))


def _own_address() -> str:
    """The address of this computer on the local network; nothing is sent for it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address of RFC 5737, for documentation: only the route is looked up
            found = str(probe.getsockname()[0])
        except OSError:
            found = ""
    if not found or found.startswith("127."):
        raise InputError("this computer is on no network that could be shared: join one, or leave out --share")
    return found


def address(host: str, key: str, path: str = "/") -> str:
    """Give an address that lets one device in.

    Parameters
    ----------
    host : str
        Name or number, with its port.
    key : str
        What lets a device in once.
    path : str
        What is opened.

    Returns
    -------
    str
        Without anything to escape.
    """
    return f"http://{host}{path}?key={key}"


def code_lines(text: str, *, plain: bool = False, colour: bool = False) -> str:
    """Give a QR code (ISO/IEC 18004) in characters.

    Parameters
    ----------
    text : str
        What it says.
    plain : bool
        Whether only ASCII can be shown.
    colour : bool
        Whether the terminal can be told to show black on white; else it is taken to write light on dark.

    Returns
    -------
    str
        Lines; two rows of the code in each where the terminal has half blocks.
    """
    rows = [list(row) for row in segno.make(text, error="l", micro=False).matrix]
    quiet = [[0] * (len(rows[0]) + 2 * _QUIET)] * _QUIET
    field = [*quiet, *([0] * _QUIET + row + [0] * _QUIET for row in rows), *quiet]
    if plain:
        return "\n".join("".join("  " if dark else "##" for dark in row) for row in field)
    field += [[0] * len(field[0])] if len(field) % 2 else []
    pairs = zip(field[::2], field[1::2], strict=True)
    inked = [[(bool(high) is colour, bool(low) is colour) for high, low in zip(*pair, strict=True)] for pair in pairs]
    lines = ("".join(_SHAPES[pair] for pair in row) for row in inked)
    return "\n".join(f"\x1b[38;5;16;48;5;231m{line}\x1b[0m" if colour else line for line in lines)


def server_of(app: ASGIApp) -> uvicorn.Server:
    """Give the server of a page.

    Parameters
    ----------
    app : ASGI application
        The page behind its doorkeeper.

    Returns
    -------
    uvicorn.Server
        Not running yet.
    """
    config = uvicorn.Config(
        app, log_level="warning", access_log=False, server_header=False, timeout_graceful_shutdown=2, ws="none", proxy_headers=False
    )
    return uvicorn.Server(config)


def run(app: ASGIApp, listening: Listening) -> None:
    """Serve until somebody stops it.

    Parameters
    ----------
    app : ASGI application
        The page behind its doorkeeper.
    listening : Listening
        The socket.
    """
    server_of(app).run(sockets=[listening.socket])
