"""Job and drill files as the program would have written them, with any content: numbers and sums are right."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping

from tests.hostile.harness_cases import SOUND

from ohmtrail.journal import yamltext
from ohmtrail.journal.sealing import heading, sealed

__all__ = ["READING", "START", "changed", "journal"]

Data = Mapping[str, object]
START: Data = {
    "machine": "Hazard",
    "harness": "bike.yaml",
    "harness-sha256": hashlib.sha256(SOUND.encode()).hexdigest(),
    "date": "2026-11-25",
    "year": "2026",
    "meter": {"name": "ordinary handheld"},
    "complaint": "lamp-lights absent",
    "seen": [{"function": "lamp-lights", "seen": "fails", "with": {"positions": {"key": "on"}}}],
}
READING: Data = {
    "said": "volts lamp.1 frame 11.9 with key on",
    "quantity": "volts",
    "red": "lamp.1",
    "black": "frame",
    "value": "11.9",
    "with": {"positions": {"key": "on"}},
}


def changed(data: Data, **keys: object) -> Data:
    """The same with other values; hyphens are written as ``_``, and None takes a key away."""
    after = dict(data) | {key.replace("_", "-"): value for key, value in keys.items()}
    return {key: value for key, value in after.items() if value is not None}


def journal(*records: tuple[str, Data], kind: str = "job") -> bytes:
    """A file of some records."""
    text = heading(kind, 1)
    for number, (record, data) in enumerate(records, start=1):
        content = {"number": str(number), "record": record, "at": "2026-11-25T20:48:46Z", "data": data}
        frozen = yamltext.freeze(content, depth=60)
        assert isinstance(frozen, Mapping)
        text += sealed(number, yamltext.write(frozen))
    return text.encode("utf-8")
