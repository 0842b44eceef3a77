"""A process that plays marks on a speaker, under loads of its own, and tells what it noticed.

Prints JSON, a line each: first the moments of its clocks, at the end its troubles and the
processor time it took. Ends when its standard input does.
"""

import argparse
import gc
import json
import re
import sys
import threading
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[2]))

from marks import Marks

from darktimer.errors import OutputError
from darktimer.live.knocks import Knocks
from darktimer.output.clock import Clock
from darktimer.output.speaker import SpeakerStream
from darktimer.output.speakers import Speakers


class JumpingClock(Clock):
    """The boot clock is ahead by what the machine has seemingly slept."""

    slept_ms = 0

    def boot_ns(self) -> int:
        return super().boot_ns() + self.slept_ms * 1_000_000


class Failing(Marks):
    """Marks that cannot be had between two seconds and three."""

    def fill(self, start, count):
        if 2 * self.rate <= start < 3 * self.rate:
            raise RuntimeError("no samples")
        return super().fill(start, count)


def _long_text(call_ms: int) -> str:
    """A text whose search holds the interpreter for so long; the time grows with the square."""
    length, took_ms = 500, 0.0
    while took_ms < call_ms:
        length = length * 6 // 5
        begin = time.perf_counter()
        re.search("[^b]*?c", "a" * length)
        took_ms = (time.perf_counter() - begin) * 1000
    return "a" * length


def _load(kind: str, call_ms: int) -> None:
    if kind == "busy":
        number = 0
        while True:
            number += 1
    text = _long_text(call_ms)
    while True:
        re.search("[^b]*?c", text)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--device")
    parser.add_argument("--second-choice")
    parser.add_argument("--buffer-ms", type=int, default=300)
    parser.add_argument("--seconds", type=int, default=600)
    parser.add_argument("--load", action="append", default=[], choices=("busy", "calls"))
    parser.add_argument("--call-ms", type=int, default=50)
    parser.add_argument("--sleep-ms", type=int, default=0)
    parser.add_argument("--failing", action="store_true")
    parser.add_argument("--wait-for-device", action="store_true")
    parser.add_argument("--microphone")
    asked = parser.parse_args()

    for kind in asked.load:
        threading.Thread(target=_load, args=(kind, asked.call_ms), daemon=True).start()
    knocks = Knocks(asked.microphone) if asked.microphone else None
    if knocks:
        knocks.__enter__()
    clock = JumpingClock()
    speakers = Speakers("", asked.device, asked.second_choice, asked.buffer_ms)
    begin_ns = clock.boot_ns() + speakers.lead_ms * 1_000_000
    sound = (Failing if asked.failing else Marks)(asked.seconds)
    stream = SpeakerStream(sound, speakers, clock, begin_ns)
    gc.collect()
    gc.freeze()
    gc.disable()
    try:
        stream.start(wait_for_device=asked.wait_for_device)
    except OutputError as error:
        print(json.dumps({"error": str(error)}), flush=True)
        return
    began_s = time.process_time(), time.monotonic()
    lag_ns = clock.boot_ns() - clock.monotonic_ns()
    print(json.dumps({"begin_ns": begin_ns - lag_ns, "buffer_ms": stream.buffer_ms}), flush=True)
    if asked.sleep_ms:
        time.sleep(4)
        clock.slept_ms = asked.sleep_ms
    sys.stdin.read()
    cpu = (time.process_time() - began_s[0]) / (time.monotonic() - began_s[1])
    closing = time.monotonic()
    stream.close()
    print(
        json.dumps(
            {
                "trouble": [each._asdict() for each in stream.trouble()],
                "cpu": cpu,
                "close_s": time.monotonic() - closing,
                "playing": stream.playing,
                "knocks": [each.name for each in knocks.read()] if knocks else [],
            }
        ),
        flush=True,
    )


if __name__ == "__main__":
    main()
