"""The way in and out: signals, streams, and every failure as one sentence with its exit status."""

from __future__ import annotations

import contextlib
import os
import signal
import sys
from types import FrameType

import typer

from ohmtrail.cli.page import OutputLost, ReaderGone, give_document
from ohmtrail.errors import HarnessError, OhmtrailError

__all__ = ["run"]

INTERRUPTED, TERMINATED, OURS, USAGE = 130, 143, 70, 2
#: the base of typer's own usage errors, which it does not export by name
_USAGE_ERROR: type[Exception] = next(kind for kind in typer.BadParameter.__mro__ if kind.__name__ == "ClickException")


def run(app: typer.Typer) -> int:
    """Run the command line.

    Parameters
    ----------
    app : typer.Typer
        The commands.

    Returns
    -------
    int
        Exit status.
    """
    _prepare()
    try:
        status = app(standalone_mode=False)
        return status if isinstance(status, int) else 0
    except ReaderGone:
        return _quiet()
    except KeyboardInterrupt:
        return INTERRUPTED
    except OutputLost as error:
        _say(f"ohmtrail: {error}")
        return _quiet() or error.exit_code
    except OhmtrailError as error:
        return _failed(error, error.exit_code)
    except _USAGE_ERROR as error:
        return _misused(error)
    except typer.Abort:
        return _failed(RuntimeError("stopped"), INTERRUPTED)
    except RecursionError as error:
        return _ours(error)
    except Exception as error:  # the door: a bug is one sentence with a file of details
        return _ours(error)


def _prepare() -> None:
    """Characters that the terminal lacks are escaped, SIGTERM ends as it should, and sums take one thread.

    The matrices are many and small: threads cost more than they bring.
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="backslashreplace")

    def stop(number: int, frame: FrameType | None) -> None:
        raise SystemExit(TERMINATED)

    with contextlib.suppress(ValueError, OSError):  # not the main thread
        signal.signal(signal.SIGTERM, stop)


def _quiet() -> int:
    """What could not be written is not to be tried again, and complained of, when Python closes its streams."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0


def _say(text: str) -> None:
    """One or more lines on standard error, if there is one."""
    from ohmtrail.reports.paper import clean

    with contextlib.suppress(OSError, ValueError, AttributeError):
        sys.stderr.write("".join(f"{clean(line)}\n" for line in text.splitlines()))
        sys.stderr.flush()


def _wants_json() -> bool:
    words = sys.argv[1:]
    return "--json" in (words[: words.index("--")] if "--" in words else words)


def _command() -> str:
    return next((word for word in sys.argv[1:] if not word.startswith("-")), "")


def _failed(error: Exception, status: int) -> int:
    """Say what is wrong; mistakes in a file keep their place at the start of the line."""
    _say(str(error) if isinstance(error, HarnessError) else f"ohmtrail: {error}")
    return _as_json(error, status)


def _as_json(error: Exception, status: int) -> int:
    if _wants_json():
        from ohmtrail.reports.as_json import error_document

        with contextlib.suppress(OutputLost, ReaderGone):
            give_document(error_document(_command(), error, exit_code=status))
    return status


def _misused(error: Exception) -> int:
    """A command or option that does not exist, or is not complete."""
    if type(error).__name__ == "NoArgsIsHelpError":
        error.show()  # type: ignore[attr-defined]  # a usage error of typer's
        return USAGE
    from ohmtrail.cli.misuse import misuse_sentence

    said = misuse_sentence(error)
    words = sys.argv[1:]
    verb = f" {words[0]}" if words and not words[0].startswith("-") and "No such command" not in said else ""
    sentence = type("Usage", (RuntimeError,), {})(f"{said}; see 'ohmtrail{verb} --help'")
    return _failed(sentence, USAGE)


def _ours(error: BaseException) -> int:
    """A mistake of ours: one sentence, and the details in a file."""
    # kept apart: what only is needed once something is wrong
    from ohmtrail.storage.mistakes import mistake_sentence

    return _failed(RuntimeError(mistake_sentence(error, sys.argv[1:])), OURS)
