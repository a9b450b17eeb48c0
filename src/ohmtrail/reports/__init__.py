"""Result objects, and the same as text for people and as JSON for programs."""

from ohmtrail.reports.as_json import SCHEMA, demo_document, document, error_document
from ohmtrail.reports.paper import Paper, clean
from ohmtrail.reports.results import (
    Checked,
    Demo,
    Explained,
    Next,
    Played,
    Proof,
    Recorded,
    SchemaOf,
    Standing,
    Traced,
    Why,
)

__all__ = [
    "SCHEMA",
    "Checked",
    "Demo",
    "Explained",
    "Next",
    "Paper",
    "Played",
    "Proof",
    "Recorded",
    "SchemaOf",
    "Standing",
    "Traced",
    "Why",
    "clean",
    "demo_document",
    "document",
    "error_document",
]
