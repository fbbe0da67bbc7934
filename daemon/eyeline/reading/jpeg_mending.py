"""JPEGs that say something superfluous or wrong which no decoder needs: the same picture without it.

Phones and editors leave bytes between segments, and progressive parameters in a sequential scan; the decoder
warns of the first such thing and of nothing after it, so a warning alone does not tell a sound picture from
one that is cut short. What comes out of here is decoded strictly again: then a cut or a damage still shows.
Source: ITU-T T.81, B.1.1.2 (markers), B.2.3 (scan header: a sequential scan has Ss 0, Se 63, Ah 0, Al 0).
"""

from __future__ import annotations

import re

_SOS, _EOI = 0xDA, 0xD9
_SEQUENTIAL = frozenset({0xC0, 0xC1})
"""SOF0 and SOF1: baseline and extended sequential, Huffman coded (T.81, table B.1)."""

_WITHOUT_LENGTH = frozenset({0x01, *range(0xD0, 0xD9)})
_MARKER = re.compile(rb"\xff([^\x00\xff])")
_MARKER_ENDING_A_SCAN = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")
_SEQUENTIAL_PARAMETERS = bytes((0, 63, 0))


def mended(data: bytes) -> bytes:
    """`data` without bytes between the segments before its first scan, and with the parameters that a
    sequential scan must have. Entropy-coded data stays as it is; so does all that cannot be followed.
    """
    parts, at, sequential, scans = [data[:2]], 2, False, 0
    while found := (_MARKER.search(data, at) if scans == 0 else _MARKER.match(data, at)):
        code, start = found[1][0], found.start()
        length = int.from_bytes(data[found.end() : found.end() + 2], "big")
        end = found.end() + length
        if code == _EOI or code in _WITHOUT_LENGTH or length < 2 or end > len(data):
            at = start
            break
        sequential = sequential or code in _SEQUENTIAL
        segment = data[start:end]
        if code == _SOS and sequential and length >= 6:
            segment = segment[:-3] + _SEQUENTIAL_PARAMETERS
        parts.append(segment)
        at = end
        if code == _SOS:
            scans += 1
            marker = _MARKER_ENDING_A_SCAN.search(data, at)
            stop = marker.start() if marker is not None else len(data)
            parts.append(data[at:stop])
            at = stop
    return b"".join((*parts, data[at:]))
