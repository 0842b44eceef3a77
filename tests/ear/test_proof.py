"""No act-now cue is mistaken in noise and echoes: a part of the proof, with its matrices.

``python -m tests.ear.proof`` runs all of it. The seeds here were never looked at in tuning.
"""

from collections import Counter

import pytest

from darktimer import shipped
from darktimer.cues.reader import load_cue_set
from tests.ear import proof

#: A recording is a minute or two; here three are heard of each set, a few of those in the proof.
SEEDS = proof.HELD_BACK[-2:]
ROOMS = {0.0: (0, 2), -5.0: (3,)}


@pytest.mark.parametrize("level", [0.0, -5.0])
@pytest.mark.parametrize("name", shipped.names("sounds"))
def test_every_act_now_cue_is_identified(name: str, level: float) -> None:
    cue_set = load_cue_set(name)
    counts: proof.Confusion = Counter()
    for number, seed in zip(ROOMS[level], SEEDS, strict=False):
        counts += proof.confusion(cue_set, proof.places(level)[number], seed, others=6)
    said, right, false_safe = proof.act_now_score(counts)
    print(f"\n{name}, {level:+.0f} dB: act-now {right} of {said}\n{proof.matrix(counts)}")
    assert said == len(ROOMS[level]) * len(proof.act_now(cue_set))
    assert false_safe == 0
    assert right == said


@pytest.mark.parametrize("noise", ["cistern", "pink"])
@pytest.mark.parametrize("name", shipped.names("sounds"))
def test_noise_alone_is_no_cue(name: str, noise: str) -> None:
    assert proof.false_in_noise(load_cue_set(name), noise, 2, SEEDS[0]) == []
