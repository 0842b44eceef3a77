"""Prints, for each shipped plan, how many different sounds a run of it plays, and which.

    python -m tests.benchmarks.sounds_of_plans

What asks for an act is what `meanings.asks` says, lights-out among it. Answers to keys come beside.
The numbers of pieces are one sound, which is counted.
"""

from darktimer.prepare.prepared import prepare
from darktimer.process import meanings
from darktimer.shipped import names


def sounds(plan: str) -> tuple[list[str], list[str]]:
    """The meanings that a plan plays: those that ask for an act, and all others."""
    played = dict.fromkeys(cue.meaning for cue in prepare(plan, "standard", None).timeline.cues)
    numbers = [each for each in played if meanings.family(each) == "piece"]
    for each in numbers[1:]:  # one head and a count
        del played[each]
    asking = list(filter(meanings.asks, played))
    return asking, [m for m in played if m not in asking]


def main() -> None:
    print("| plan | acts | in all | acts | the rest |\n|---|---|---|---|---|")
    for plan in names("sequences"):
        acts, rest = sounds(plan)
        told = f"{', '.join(acts)} | {', '.join(rest)}"
        print(f"| {plan} | {len(acts)} | {len(acts) + len(rest)} | {told} |")


if __name__ == "__main__":
    main()
