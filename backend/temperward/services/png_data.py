"""How many bytes of pixels a PNG holds, and how many it must hold (W3C PNG, sections 7 to 10).

Whoever reads the picture stops after its last row: what is packed behind that nobody would ever see.
"""

from __future__ import annotations

import zlib

PIECE_BYTES = 64 * 1024
CHANNELS = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}  # grey, colour, palette, grey and colour with transparency
WHOLE = ((0, 0, 1, 1),)
# Adam7: where each pass begins and how far it steps, across and down.
PASSES = ((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2), (0, 1, 1, 2))


def needed_bytes(head: bytes) -> int:
    """Return the bytes of all rows, from the content of the header chunk; 0 where it makes no sense."""
    width, height = int.from_bytes(head[0:4], "big"), int.from_bytes(head[4:8], "big")
    bits = head[8] * CHANNELS.get(head[9], 0)
    total = 0
    for left, top, across, down in PASSES if head[12] else WHOLE:
        columns, rows = -(-(width - left) // across), -(-(height - top) // down)
        if columns > 0 and rows > 0:
            total += rows * (1 + (columns * bits + 7) // 8)
    return total


def holds_exactly(packed: bytes, *, needed: int) -> bool:
    """Tell whether what is packed is just so many bytes long; no more of it is unpacked than that."""
    unpacker = zlib.decompressobj()
    left, found = packed, 0
    while left and not unpacker.eof and found <= needed:
        found += len(unpacker.decompress(left, PIECE_BYTES))
        left = unpacker.unconsumed_tail
    return found == needed and unpacker.eof and not unpacker.unused_data
