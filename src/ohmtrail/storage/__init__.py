"""Files on disk: locks that leave no litter, files written whole or not at all, plain sentences."""

from ohmtrail.storage.locks import LOCK_TIMEOUT_S, StrPath, open_held
from ohmtrail.storage.refusals import oddity, refusal
from ohmtrail.storage.whole import write_all, write_new, write_whole

__all__ = [
    "LOCK_TIMEOUT_S",
    "StrPath",
    "oddity",
    "open_held",
    "refusal",
    "write_all",
    "write_new",
    "write_whole",
]
