"""The studio: where log, machines and model meet."""

from recommender.studio.studio import FitReport, Studio

__all__ = ["FitReport", "Studio"]
