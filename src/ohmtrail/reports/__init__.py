"""Result objects to text for people."""

from ohmtrail.reports.text import (
    action_lines,
    evidence_text,
    proposal_lines,
    step_text,
    suspect_lines,
    value_text,
)

__all__ = ["action_lines", "evidence_text", "proposal_lines", "step_text", "suspect_lines", "value_text"]
