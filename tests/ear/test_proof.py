"""No act-now cue is mistaken in noise and echoes: a part of the proof, with its matrices.

``python -m tests.ear.proof`` runs all of it. The seeds here were never looked at in tuning.
"""

from collections import Counter

import pytest

from darktimer import shipped
from darktimer.cues.reader import load_cue_set
from tests.ear import proof

#: Each recording is a minute or two; a room is heard at each level.
SEEDS = proof.HELD_BACK[-4:]


@pytest.mark.parametrize("level", [0.0, -5.0])
@pytest.mark.parametrize("name", shipped.names("sounds"))
def test_every_act_now_cue_is_identified(name: str, level: float) -> None:
    cue_set = load_cue_set(name)
    counts: proof.Confusion = Counter()
    for room, seed in zip(proof.places(level), SEEDS, strict=True):
        counts += proof.confusion(cue_set, room, seed, others=6)
    said, right, false_safe = proof.act_now_score(counts)
    print(f"\n{name}, {level:+.0f} dB: act-now {right} of {said}\n{proof.matrix(counts)}")
    assert said == 4 * len(proof.act_now(cue_set))
    assert false_safe == 0
    assert right >= (said if level >= 0 else 0.99 * said)


@pytest.mark.parametrize("noise", ["cistern", "pink"])
@pytest.mark.parametrize("name", shipped.names("sounds"))
def test_noise_alone_is_no_cue(name: str, noise: str) -> None:
    assert proof.false_in_noise(load_cue_set(name), noise, 4, SEEDS[0]) == []
