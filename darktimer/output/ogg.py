"""Reads and makes Ogg pages, which hold whole packets (RFC 3533). Knows no codec.

Ours because the sound library takes samples only, no packets.
"""

import struct
import zlib
from collections.abc import Iterator, Sequence
from typing import Final

#: Of the version and kind to the number of segments, behind the mark that begins a page.
_HEADER: Final = struct.Struct("<4sBBqIIIB")
_MARK: Final = b"OggS"
_CHECKSUM: Final = slice(22, 26)
_FIRST: Final = 2
_LAST: Final = 4
_SERIAL: Final = 1  # one stream in a file
_MIRRORED: Final = bytes(int(f"{byte:08b}"[::-1], 2) for byte in range(256))


def packets(pages: bytes) -> Iterator[bytes]:
    """Every packet of a stream in which none is spread over pages."""
    at = 0
    while at < len(pages):
        *_, segments = _HEADER.unpack_from(pages, at)
        at += _HEADER.size + segments
        length = 0
        for segment in pages[at - segments : at]:
            length += segment
            if segment < 255:
                yield pages[at : at + length]
                at, length = at + length, 0


def page(number: int, position: int, whole: Sequence[bytes], *, last: bool = False) -> bytes:
    """A page of at most 255 segments of 255 bytes; ``position`` is the codec's, at its end."""
    segments = b"".join(b"\xff" * (len(each) // 255) + bytes([len(each) % 255]) for each in whole)
    kind = (0 if number else _FIRST) | (_LAST if last else 0)
    header = _HEADER.pack(_MARK, 0, kind, position, _SERIAL, number, 0, len(segments))
    made = bytearray(b"".join((header, segments, *whole)))
    made[_CHECKSUM] = _checksum(made)
    return bytes(made)


def _checksum(data: bytes | bytearray) -> bytes:
    """The same polynomial as zlib's, but of bits in the other order, and from zero."""
    mirrored = zlib.crc32(data.translate(_MIRRORED), 0xFFFFFFFF) ^ 0xFFFFFFFF
    return mirrored.to_bytes(4).translate(_MIRRORED)
