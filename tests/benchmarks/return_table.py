"""Measures how soon sound is back in a whole run whose sound server is killed again and again.

    python -m tests.benchmarks.return_table [--kills 20]

The run is a real one in a terminal of its own; what is measured is recorded from the null sink.
"""

import argparse
import statistics
from collections import Counter
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.device.null_sink import Server
from tests.live.returns import returns


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--kills", type=int, default=20)
    asked = parser.parse_args()
    with Server(short=True) as server, TemporaryDirectory() as folder:
        found, room = returns(server, Path(folder), asked.kills)
        light = len(room.since_black)
        room.kill()
    print("| from the server's return, ms | least | median | most |\n|---|---|---|---|")
    print(_row("to the first sound, by the journal", [each.sound_ms for each in found]))
    print(_row("to the first cue, by the journal", [each.cue_ms for each in found]))
    print(_row("to the first cue, as recorded", [each.heard_ms for each in found]))
    print(f"\nCues: {dict(Counter(each.cues[:2] for each in found))}; {light} bytes of light.")


def _row(name: str, found_ms: list[float]) -> str:
    figures = (min(found_ms), statistics.median(found_ms), max(found_ms))
    return f"| {name} | {' | '.join(f'{each:.0f}' for each in figures)} |"


if __name__ == "__main__":
    main()
