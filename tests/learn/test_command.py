"""``darktimer learn`` with keys and a speaker that are played by the test."""

import json
from pathlib import Path

import pytest

from darktimer.cli import main
from darktimer.errors import OutputError
from darktimer.journal.clocks import Reading, local_text, read_clocks
from darktimer.learn.sounds import Sounds
from darktimer.process import meanings

#: Read off the plan's own list of sounds; then what a run says to keys and after a fault.
CLOSED_SPIRAL = [
    "enter",
    *("light-safe", "move", "stand", "lift", "ready", "pip", "tally-5", "tally-10", "end"),
    *("alarm", "marked", "confirm", "refuse", "hold", "back", "here"),
    *("left-20", "left-120", "left-180"),
]
#: Noon of a day, by UTC: days from it are days of any calendar.
NOON_MS = 1_935_748_800_000
WORDS = ["enter", "move", "stand", "lift", "light-safe", "alarm"]


class Ears:
    """Somebody who knows the cues by heart: hears which one is made, and answers by its key."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.heard: list[str] = []
        self.played = 0
        self.mistakes: dict[str, str] = {}
        self.keys: list[str] = []

        def listened(sounds: Sounds, meaning: str, *rest: object) -> object:
            """Makes no samples: that takes long, and the player is none."""
            self.heard.append(meanings.family(meaning))
            self.meaning = meaning
            return None

        ears = self

        class Player:
            def __init__(self, speakers: object) -> None: ...

            def __enter__(self) -> "Player":
                return self

            def __exit__(self, *_: object) -> None: ...

            def begin(self, samples: object) -> None:
                ears.played += 1

        monkeypatch.setattr(Sounds, "_made", listened)
        monkeypatch.setattr("darktimer.learn.sounds.over_tap", lambda *_: None)
        monkeypatch.setattr("darktimer.output.player.Player", Player)
        monkeypatch.setattr("click.getchar", self.key)

    def key(self) -> str:
        if self.keys:
            return self.keys.pop(0)
        word = self.heard[-1]
        return str(1 + WORDS.index(self.mistakes.get(word, word)))


@pytest.fixture
def ears(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Ears:
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path))
    monkeypatch.setenv("COLUMNS", "80")
    return Ears(monkeypatch)


def learn(capsys: pytest.CaptureFixture[str], *args: str) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as left:
        main(["learn", *args])
    told = capsys.readouterr()
    return int(left.value.code or 0), told.out, told.err


def test_who_knows_the_cues_is_ready_after_the_drill(ears, capsys):
    status, out, _ = learn(capsys, "--seed", "1")
    assert status == 0
    assert ears.heard[:6] == WORDS
    assert "Which one do you hear? Press its key, even before it ends (0 of 6 are sure):" in out
    assert "  yes: move (1 more to be sure)\n" in out
    assert "  yes: move (sure)\n" in out
    assert "You are ready for what asks for an act at once.\n" in out
    _, scores, _ = learn(capsys, "--scores", "--json")
    kept = json.loads(scores)
    assert (kept["drills"], kept["ready"]) == (1, True)
    assert set(kept["words"]) == set(WORDS)
    assert all(each["right"] == each["asked"] >= 6 for each in kept["words"].values())


def word_of(meaning: str) -> str:
    """By which word a learner of a plan answers what was played."""
    return meaning if meaning.startswith(("tally-", "left-")) else meanings.family(meaning)


def test_a_plan_is_learnt_by_what_its_run_plays_and_nothing_else(ears, capsys, monkeypatch):
    keys = "123456789abcdefghijklmnoprstuvwxyz"
    monkeypatch.setattr("click.getchar", lambda: keys[CLOSED_SPIRAL.index(word_of(ears.meaning))])
    status, out, _ = learn(capsys, "closed-spiral-half-agitation", "--seed", "1")
    assert status == 0
    taught = out.partition("Which one")[0]
    assert [line[2:].partition(":")[0] for line in taught.splitlines() if line[:2] == "  "] == (
        CLOSED_SPIRAL
    )
    assert "enter-soak" not in out
    assert "You are ready for a run of Closed spiral tank, half agitation.\n" in out
    asked = out.partition("Press its key")[2].splitlines()[1:20]
    assert max(map(len, asked)) <= 80


def test_a_plan_goes_without_a_lesson(ears, capsys):
    assert learn(capsys, "long-stand", "--lesson", "baths")[0] == 2


def test_who_mixes_up_two_is_told_what_to_practise(ears, capsys):
    ears.mistakes = {"stand": "move"}
    status, out, _ = learn(capsys, "--drill-only", "--seed", "1")
    assert status == 0
    assert "no, that was stand, not move." in out
    assert "stand: stop moving, leave it alone, taken for move" in out
    assert "You are ready" not in out
    _, scores, _ = learn(capsys, "--scores")
    assert "Drills: 1, the last on" in scores
    assert "stand" in scores


def test_after_a_mistake_both_sounds_are_played_in_the_quiet_and_keys_are_shown_again(
    ears, capsys, monkeypatch
):
    """The first question over a tap is answered wrongly, whatever it is."""
    wrong, over = [], []
    loud, quiet = Sounds.over_tap, Sounds.quiet

    def mistaken_once(sounds: Sounds, meaning: str) -> object:
        if not over:
            wrong.append(meaning)
            ears.mistakes = {meaning: "alarm" if meaning != "alarm" else "move"}
        over.append(meaning)
        return loud(sounds, meaning)

    def heard_in_the_quiet(sounds: Sounds, meaning: str) -> object:
        if over:
            ears.mistakes.clear()
            wrong.append(meaning)
        return quiet(sounds, meaning)

    monkeypatch.setattr(Sounds, "over_tap", mistaken_once)
    monkeypatch.setattr(Sounds, "quiet", heard_in_the_quiet)
    status, out, _ = learn(capsys, "--drill-only", "--seed", "1")
    assert status == 0
    asked = meanings.family(wrong[0])
    taken = "alarm" if asked != "alarm" else "move"
    assert [meanings.family(each) for each in wrong] == [asked, asked, taken]
    after = out.partition(f"no, that was {asked}, not {taken}.")[2].splitlines()
    assert [line.partition(":")[0].strip() for line in after[1:3]] == [asked, taken]
    assert after[3].startswith("Which one do you hear? Press its key, even before it ends (")


@pytest.fixture
def days(monkeypatch) -> list[int]:
    """The wall clock of what is kept, moved on by as many days as the list says in all."""
    passed: list[int] = []

    def later() -> Reading:
        now = read_clocks()
        return now._replace(wall_utc_ms=NOON_MS + sum(passed) * 86_400_000)

    monkeypatch.setattr("darktimer.learn.scores.read_clocks", later)
    monkeypatch.setattr("darktimer.learn.again.read_clocks", later)
    return passed


def day(number: int) -> str:
    return local_text(NOON_MS + number * 86_400_000)[:10]


def test_what_was_learnt_is_asked_again_after_a_day_and_a_week(ears, capsys, days):
    drilled = ("--drill-only", "--seed", "1")
    assert f"It is asked again on {day(1)}." in learn(capsys, *drilled)[1]
    assert "Due" not in learn(capsys, "--drill-only")[1]
    days.append(1)
    ears.keys = ["q"]
    _, out, _ = learn(capsys, "--drill-only")
    assert out.startswith(f"Due since {day(1)}: act-now with standard.\n")
    assert f"It is asked again on {day(8)}." in learn(capsys, *drilled)[1]
    _, out, _ = learn(capsys, "--scores")
    assert f"Asked again on {day(8)}: act-now with standard.\n" in out
    _, out, _ = learn(capsys, "--scores", "--json")
    assert json.loads(out)["again"] == [
        {"cue_set": "standard", "lesson": "act-now", "passed": 2, "due": day(8)}
    ]
    days.append(7)
    _, out, _ = learn(capsys, *drilled)
    assert "You knew it after a day and after a week: it is not asked again." in out
    assert "sked again on" not in learn(capsys, "--scores")[1]


def test_scores_that_cannot_be_read_are_no_reason_not_to_learn(ears, capsys, tmp_path):
    (tmp_path / "drills.jsonl").mkdir()
    status, out, err = learn(capsys, "--drill-only", "--seed", "1")
    assert status == 0
    assert out.endswith("You are ready for what asks for an act at once.\n")
    assert err.count("The score is not kept: ") == 1


def test_space_plays_again_other_keys_are_named_and_q_ends(ears, capsys):
    ears.keys = [" ", " ", "x", "q"]
    status, out, _ = learn(capsys, "--drill-only", "--seed", "1")
    assert (status, ears.played) == (0, 3)
    assert "press one of 1 2 3 4 5 6" in out
    assert "Ended" in out
    assert "No drill" in learn(capsys, "--scores")[1]


def test_a_missing_speaker_is_an_error_with_a_remedy(ears, capsys, monkeypatch):
    def missing(*_: object) -> None:
        raise OutputError("speaker", "PortAudio is not installed", "install libportaudio2")

    monkeypatch.setattr("darktimer.output.player.Player", missing)
    status, _, err = learn(capsys)
    assert status == 1
    assert err == "speaker: PortAudio is not installed; install libportaudio2\n"


def test_without_a_terminal_there_is_nobody_to_answer(ears, capsys, monkeypatch):
    def nobody() -> str:
        raise OSError

    monkeypatch.setattr("click.getchar", nobody)
    status, _, err = learn(capsys)
    assert (status, err) == (1, "keyboard: there is none; use a terminal\n")


def test_json_goes_with_scores(ears, capsys):
    assert learn(capsys, "--json")[0] == 2
