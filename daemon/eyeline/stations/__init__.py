"""Measuring spread over machines: stations measure, one daemon stays the only writer."""
