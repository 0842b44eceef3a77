"""The process in which simpleaudio plays, so that its crashes end it and not the timer.

Is given the rate. Reads, for each sound, its length in four bytes and 16-bit mono samples, which
begin to play at once. Ends with its input. When the first sound is over it writes one byte.
"""

import sys


def main() -> None:
    import simpleaudio

    playing: list[simpleaudio.PlayObject] = []
    while length := sys.stdin.buffer.read(4):
        content = sys.stdin.buffer.read(int.from_bytes(length, "little"))
        sound = simpleaudio.play_buffer(content, 1, 2, int(sys.argv[1]))
        if not playing:
            sound.wait_done()
            sys.stdout.buffer.write(b".")
            sys.stdout.buffer.flush()
        # One that nobody holds is cut off.
        playing = [sound, *(each for each in playing if each.is_playing())]
    for each in playing:
        each.wait_done()


if __name__ == "__main__":
    main()
