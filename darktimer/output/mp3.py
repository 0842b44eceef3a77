"""Writes MP3: LAME encodes; the tags and the first frame, which its Python has not, are ours.

That frame holds no sound, but says how much a decoder is to leave out at either end: without it
every onset would come some 50 ms late. Its layout is that of LAME's "Info" frame, which decoders
read; that part of the format has no standard. Tags are ID3 2.3 (id3.org).
"""

import os
import struct
from typing import Final

from darktimer.output.protocol import Progress, Sound, blocks
from darktimer.output.tags import Tags

RATES: Final = (8000, 11_025, 12_000, 16_000, 22_050, 24_000, 32_000, 44_100, 48_000)

#: From this rate on a file is MPEG-1; below it, MPEG-2 or 2.5, with half as many samples a frame.
_MPEG_1_RATE: Final = 32_000
#: Of 0 (slowest) to 9: the quickest at which tones and noise keep their shape.
_QUALITY: Final = 7
#: How late LAME's own filters are; decoders know how late theirs are.
_DELAY_FRAMES: Final = 576
#: The Info frame has room for all it says at this rate of bits.
_INFO_KBPS: Final = 64
_UTF16: Final = b"\1"
_ID3: Final = {
    "title": b"TIT2",
    "comment": b"COMM",
    "album": b"TALB",
    "tracknumber": b"TRCK",
}


def write(descriptor: int, sound: Sound, tags: Tags, progress: Progress | None) -> None:
    """A constant rate of bits, so that every player knows the time; raises `OSError`."""
    from lameenc import Encoder

    encoder = Encoder()
    encoder.silence()
    encoder.set_channels(1)
    encoder.set_in_sample_rate(sound.rate)
    encoder.set_out_sample_rate(sound.rate)
    encoder.set_quality(_QUALITY)
    encoder.set_bit_rate(_kbps(sound.rate))
    with os.fdopen(descriptor, "wb", closefd=False) as file:
        info_at = file.write(_id3(tags))
        head, size = b"", 0
        file.seek(_info_bytes(sound.rate), os.SEEK_CUR)
        for block in blocks(sound, progress):
            encoded = bytes(encoder.encode(block))
            head, size = head or encoded[:4], size + file.write(encoded)
        rest = bytes(encoder.flush())
        head, size = head or rest[:4], size + file.write(rest)
        file.seek(info_at)
        file.write(_info(head, size, sound))


def _kbps(rate: int) -> int:
    return 32 if rate < _MPEG_1_RATE else 64


def _samples_a_frame(rate: int) -> int:
    return 576 if rate < _MPEG_1_RATE else 1152


def _info_bytes(rate: int) -> int:
    return _samples_a_frame(rate) // 8 * _INFO_KBPS * 1000 // rate


def _info(head: bytes, size: int, sound: Sound) -> bytes:
    """The first frame, from the header of any other, and the bytes of all others."""
    samples, low = _samples_a_frame(sound.rate), sound.rate < _MPEG_1_RATE
    frames = round(size * 8 * sound.rate / (samples * 1000 * _kbps(sound.rate)))
    padding = frames * samples - _DELAY_FRAMES - sound.frames
    whole = size + _info_bytes(sound.rate)
    header = bytes((head[0], head[1] | 1, (0x80 if low else 0x50) | head[2] & 0x0C, head[3]))
    everything = 0b1111  # frames, bytes, places of each hundredth, quality
    places = bytes(hundredth * 256 // 100 for hundredth in range(100))
    info = struct.pack(">4s3I100sI", b"Info", everything, frames, whole, places, 100)
    gapless = (_DELAY_FRAMES << 12 | padding).to_bytes(3)
    kbps, constant = _kbps(sound.rate), 1
    lame = struct.pack(">9sB10xB3s4xI2x", b"LAME3.100", constant, kbps, gapless, whole)
    frame = header + bytes(9 if low else 17) + info + lame
    return (frame + struct.pack(">H", _crc(frame))).ljust(_info_bytes(sound.rate), b"\0")


def _crc(data: bytes) -> int:
    """CRC-16 as LAME reckons it: polynomial 0x8005, lowest bits first, from zero."""
    crc = 0
    for byte in data:
        crc ^= byte
        for _ in range(8):
            crc = crc >> 1 ^ (0xA001 if crc & 1 else 0)
    return crc


def _id3(tags: Tags) -> bytes:
    """ID3 version 2.3, which players of any age read, with letters of any script."""
    frames = b""
    for name, text in tags.texts().items():
        described = b"eng" + _utf16("\0") if name == "comment" else b""
        body = _UTF16 + described + _utf16(text)
        frames += struct.pack(">4sI2x", _ID3[name], len(body)) + body
    header = b"ID3\3\0\0" + bytes(len(frames) >> shift & 0x7F for shift in (21, 14, 7, 0))
    return header + frames if frames else b""


def _utf16(text: str) -> bytes:
    return text.encode("utf-16")
