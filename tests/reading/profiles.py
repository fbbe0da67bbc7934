"""ICC profiles that the tests make."""

from __future__ import annotations

import struct

from PIL import ImageCms


def linear_profile() -> bytes:
    """sRGB's profile with its three curves replaced by the straight line (ICC.1: `curv`, count 0)."""
    data = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    count = struct.unpack(">I", data[128:132])[0]
    for number in range(count):
        entry = 132 + 12 * number
        signature, offset, _ = struct.unpack(">4sII", data[entry : entry + 12])
        if signature in (b"rTRC", b"gTRC", b"bTRC"):
            data[offset : offset + 12] = b"curv" + bytes(8)
            data[entry + 8 : entry + 12] = struct.pack(">I", 12)
        if signature == b"desc":
            data[entry : entry + 4] = b"dscm"  # its description says sRGB, which it no longer is
    return bytes(data)
