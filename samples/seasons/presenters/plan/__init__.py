"""The plan of a season: sections in order, each made from what the lake holds."""

from samples.seasons.presenters.plan.sections import plan_sections

__all__ = ["plan_sections"]
