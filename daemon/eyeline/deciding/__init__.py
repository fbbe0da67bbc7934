"""Measured to decided: photos are judged together, annotated, and the decision is recorded."""
