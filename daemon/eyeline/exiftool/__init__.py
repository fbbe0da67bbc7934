"""The ExifTool child process: the one place that talks to it. Reading asks it, sidecar edits with it."""

from eyeline.exiftool.child import ChildDied
from eyeline.exiftool.tool import ExifTool, Refused

__all__ = ["ChildDied", "ExifTool", "Refused"]
