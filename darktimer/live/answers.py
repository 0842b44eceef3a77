"""What the program says of itself: a step's signature alone, to answer "where am I".

A plan only ever says a signature after the enter cue. An answer must not sound like a call to
change the bath, so the signature is made a cue of its own here. Knows no time.
"""

from dataclasses import replace

from darktimer.cues.cue_set import CueSet


def here(kind: str) -> str:
    """The cue that says: this is where you are; ``kind`` is a kind of step."""
    return f"here-{kind}"


def with_answers(cue_set: CueSet) -> CueSet:
    """The same set with a cue for each signature by itself."""
    told = {
        here(kind): replace(signature, says=f"you are in: {kind}")
        for kind, signature in cue_set.signatures.items()
    }
    return replace(cue_set, cues={**cue_set.cues, **told})
