"""The order of events: the only room that knows every other one. Owns clock, processes and configuration."""
