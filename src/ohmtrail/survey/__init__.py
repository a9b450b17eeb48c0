"""A machine that has stood for years: what to check before the battery goes on, in which order, what to renew."""

from ohmtrail.survey.coverage import Coverage, ElementCover, KindCover, coverage_of, false_alarms
from ohmtrail.survey.plan import Planned, Survey, Surveyor
from ohmtrail.survey.renewal import VERDICTS, Advice, Verdict, advice_of
from ohmtrail.survey.route import everything_minutes
from ohmtrail.survey.simulate import agree_within
from ohmtrail.survey.stages import STAGES, Safety, Stage, stages_of

__all__ = [
    "STAGES",
    "VERDICTS",
    "Advice",
    "Coverage",
    "ElementCover",
    "KindCover",
    "Planned",
    "Safety",
    "Stage",
    "Survey",
    "Surveyor",
    "Verdict",
    "advice_of",
    "agree_within",
    "coverage_of",
    "everything_minutes",
    "false_alarms",
    "stages_of",
]
