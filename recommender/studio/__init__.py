"""The studio: where log, machines and model meet."""

from recommender.studio.report import FitReport
from recommender.studio.studio import Studio

__all__ = ["FitReport", "Studio"]
