"""Figures on real photographs, where the further sets are at hand: nothing of a photograph is kept here."""
