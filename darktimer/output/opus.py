"""Writes OGG Opus: the sound library encodes, stretch by stretch, and the packets are joined.

Most of a sound to work by is the same few seconds of bed, again and again. Packets made of the same
samples are used again; the stretches between are encoded side by side. Joins lie in quiet alone,
and an encoder is first given a little of what comes before, as decoders that begin in the middle
are (RFC 7845, section 4.6).
"""

import os
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from io import BytesIO
from itertools import groupby, islice
from typing import Final, NamedTuple

from darktimer.output import ogg
from darktimer.output.protocol import Progress, Sound, is_quiet
from darktimer.output.tags import Tags

RATES: Final = (8000, 12_000, 16_000, 24_000, 48_000)

#: Whatever the rate of its samples, Opus counts time in these.
_TICKS_A_SECOND: Final = 48_000
_PACKETS_A_SECOND: Final = 50
_TICKS: Final = _TICKS_A_SECOND // _PACKETS_A_SECOND
#: Quiet is judged, and used again, in blocks of so many packets: 0.2 s.
_BLOCK: Final = 10
#: Encoded before a stretch and left out: 80 ms, after which encoders agree.
_LEAD: Final = 4
#: Of 0 to 1, the sound library's measure: some 20 kbit/s for the bed, 60 for what is to be heard.
_SMALLNESS: Final = {True: 0.95, False: 0.8}


class _Stretch(NamedTuple):
    """Packets from one number to another, all of quiet or none."""

    first: int
    beyond: int
    quiet: bool


def write(descriptor: int, sound: Sound, tags: Tags, progress: Progress | None) -> None:
    """Raises `OSError`."""
    identity, comments, *_ = _encoded(sound, _Stretch(0, 1, quiet=False), tags)
    skipped = int.from_bytes(identity[10:12], "little")  # what a decoder leaves out at the start
    end = sound.frames * _TICKS_A_SECOND // sound.rate + skipped
    packets = islice(_packets(sound, -(-end // _TICKS)), -(-end // _TICKS))
    with os.fdopen(descriptor, "wb", closefd=False) as file:
        file.write(ogg.page(0, 0, [identity]) + ogg.page(1, 0, [comments]))
        for number, start in enumerate(range(0, end, _TICKS_A_SECOND), 2):
            position = min(start + _TICKS_A_SECOND, end)
            second = list(islice(packets, _PACKETS_A_SECOND))
            file.write(ogg.page(number, position, second, last=position == end))
            if progress:
                progress(min(position * sound.rate // _TICKS_A_SECOND, sound.frames), sound.frames)


def _packets(sound: Sound, count: int) -> Iterator[bytes]:
    """At least so many packets, in order."""
    stretches = list(_stretches(sound, count))
    quiet: dict[bytes, list[bytes]] = {}
    pool = ThreadPoolExecutor(os.cpu_count())
    try:
        loud = pool.map(lambda each: _made(sound, each), (s for s in stretches if not s.quiet))
        for stretch in stretches:
            if not stretch.quiet:
                yield from next(loud)
                continue
            for first in range(stretch.first, stretch.beyond, _BLOCK):
                block = stretch._replace(first=first, beyond=first + _BLOCK)
                samples = sound.fill(*_frames(sound, block)).tobytes()
                yield from quiet.get(samples) or quiet.setdefault(samples, _made(sound, block))
    finally:
        pool.shutdown(cancel_futures=True)


def _stretches(sound: Sound, count: int) -> Iterator[_Stretch]:
    """All blocks, those of a kind together."""
    each = (_Stretch(first, first + _BLOCK, False) for first in range(0, count, _BLOCK))
    judged = (block._replace(quiet=is_quiet(sound, *_frames(sound, block))) for block in each)
    for _, blocks in groupby(judged, lambda block: block.quiet):
        first, *others = blocks
        yield first._replace(beyond=others[-1].beyond if others else first.beyond)


def _frames(sound: Sound, stretch: _Stretch) -> tuple[int, int]:
    """Its first frame and their number, with those before it that are encoded and left out."""
    a_packet = sound.rate // _PACKETS_A_SECOND
    first = stretch.first - _lead(stretch)
    return first * a_packet, (stretch.beyond - first) * a_packet


def _lead(stretch: _Stretch) -> int:
    return min(_LEAD, stretch.first)


def _made(sound: Sound, stretch: _Stretch) -> list[bytes]:
    """The packets of a stretch."""
    _, _, *packets = _encoded(sound, stretch, Tags())
    return packets[_lead(stretch) :][: stretch.beyond - stretch.first]


def _encoded(sound: Sound, stretch: _Stretch, tags: Tags) -> list[bytes]:
    """The two packets that begin a file, then those of a stretch, with what comes before it."""
    from soundfile import SoundFile

    form = {"format": "OGG", "subtype": "OPUS", "compression_level": _SMALLNESS[stretch.quiet]}
    written = BytesIO()
    with SoundFile(written, "w", sound.rate, 1, **form) as file:
        for name, text in tags.texts().items():
            setattr(file, name, text)
        file.buffer_write(sound.fill(*_frames(sound, stretch)), "int16")
    return list(ogg.packets(written.getvalue()))
