"""Arrived to measured: worker processes read and measure photos."""
