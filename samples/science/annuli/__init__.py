"""Annuli of an otolith: brightness along a radius of its picture, and where annuli are likely."""

from samples.science.annuli.profile import brightness_profile
from samples.science.annuli.suggest import BEYOND, SuggestedAnnuli, suggest_annuli

__all__ = ["BEYOND", "SuggestedAnnuli", "brightness_profile", "suggest_annuli"]
