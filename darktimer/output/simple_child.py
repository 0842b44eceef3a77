"""The process in which simpleaudio plays, so that its crashes end it and not the timer.

Reads from standard input: for each sound eight bytes, its rate and its length in bytes, and then
16-bit mono samples, which begin to play as soon as they have come. Ends with its input. When the
first sound is over it writes one byte.
"""

import struct
import sys
from typing import Final

HEAD: Final = struct.Struct("<II")


def main() -> None:
    import simpleaudio

    playing: list[simpleaudio.PlayObject] = []
    tried = False
    while len(head := sys.stdin.buffer.read(HEAD.size)) == HEAD.size:
        rate, length = HEAD.unpack(head)
        sound = simpleaudio.play_buffer(sys.stdin.buffer.read(length), 1, 2, rate)
        if not tried:
            tried = True
            sound.wait_done()
            sys.stdout.buffer.write(b".")
            sys.stdout.buffer.flush()
        playing = [each for each in playing if each.is_playing()]
        playing.append(sound)  # one that nobody holds is cut off
    for each in playing:
        each.wait_done()


if __name__ == "__main__":
    main()
