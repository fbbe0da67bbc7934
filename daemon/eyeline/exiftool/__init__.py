"""The ExifTool child process: the one place that talks to it. Reading asks it, sidecar edits with it."""

from eyeline.exiftool.tool import ExifTool

__all__ = ["ExifTool"]
