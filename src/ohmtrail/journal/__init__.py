"""An append-only journal as text that people can read: job files, drill results, records of changes.

The first block names what the file is. Each record after it is one YAML document in which every scalar is
text, and it ends with its number and the CRC-32 of its own lines, so that the piece a power cut leaves is
recognised. Nothing is ever changed: a correction is one more record.
"""

from ohmtrail.journal.book import SIZE_LIMIT_BYTES, append, create, load
from ohmtrail.journal.entry import Entry
from ohmtrail.journal.yamltext import Value

__all__ = ["SIZE_LIMIT_BYTES", "Entry", "Value", "append", "create", "load"]
