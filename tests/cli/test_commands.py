"""Each command does what its help says, in words and in JSON, and ends with the right status."""

import json
import re
from collections.abc import Iterator
from pathlib import Path

import click
import pytest
import soundfile
from jsonschema import Draft202012Validator

from darktimer import __version__, shipped
from darktimer.cli.root import COMMANDS, root
from darktimer.knocks.patterns import IN_WORDS
from darktimer.units import clock

PLAN = "open-tub-half-agitation"
SHORT = """
title: A short one
vessel: {kind: spiral tank, light: closed}
habits: {lights out after: 5 s}
steps:
  - develop: 20 s
    agitation: continuous
"""


@pytest.fixture
def short(tmp_path: Path) -> Path:
    path = tmp_path / "short.yaml"
    path.write_text(SHORT)
    return path


def test_version(run):
    assert run("--version").out == f"darktimer {__version__}\n"


def _all_commands() -> Iterator[str]:
    context = click.Context(root)
    for name in COMMANDS:
        yield name
        command = root.get_command(context, name)
        if isinstance(command, click.Group):
            yield from (f"{name} {inner}" for inner in command.list_commands(context))


@pytest.mark.parametrize("command", list(_all_commands()))
def test_every_command_has_help_with_an_example(run, command):
    shown = run(*command.split(), "--help")
    assert shown.status == 0
    _, _, example = shown.out.partition("Example:")
    assert f"darktimer {command}" in example


def test_a_missing_option_is_answered_with_an_example(run):
    refused = run("baths", "use", "plain fixer")
    assert refused.status == 2
    assert 'darktimer baths use "plain fixer" --rolls 2' in refused.err


def test_a_missing_shell_is_named_on_one_line_with_those_there_are(run):
    refused = run("completion")
    assert refused.status == 2
    assert refused.err.splitlines()[0] == "Missing argument 'SHELL'. Choose from: bash, zsh, fish"
    assert "darktimer completion bash" in refused.err


def test_unknown_command_is_wrong_usage(run):
    assert run("chek").status == 2


def test_unknown_plan_names_the_nearest(run):
    ran = run("check", "open-tub-half-agitatoin")
    assert ran.status == 1
    assert "did you mean 'open-tub-half-agitation'" in ran.err


@pytest.mark.parametrize("plan", shipped.names("sequences"))
def test_check_finds_no_fault_in_a_shipped_plan(run, plan):
    ran = run("check", plan, "--json")
    (report,) = json.loads(ran.out)
    assert ran.status == 0
    assert report["faults"] == []
    assert report["cautions"]


def test_check_shows_share_cautions_and_dark_time(run):
    out = run("check", PLAN).out
    assert "7:30, 50.0 %" in out
    assert "28:20 of it in the dark" in out
    assert "local codes" in out


def test_check_names_every_fault_of_every_plan(run, tmp_path):
    one, two = tmp_path / "one.yaml", tmp_path / "two.yaml"
    one.write_text("title: x\nvesel: {kind: tub, light: open}\nsteps: []\n")
    two.write_text("title: y\nvessel: {kind: tub, light: shut}\nsteps: [{develop: 5}]\n")
    ran = run("check", one, two)
    assert ran.status == 1
    assert f"{one}:2:1: vesel: 'vesel' is not known here; did you mean 'vessel'?" in ran.err
    assert "allowed are open, closed" in ran.err
    assert "'5' has no unit" in ran.err


def test_check_json_holds_the_place_of_a_fault(run, tmp_path):
    path = tmp_path / "plan.yaml"
    path.write_text("title: x\nvessel: {kind: tub, light: open}\nsteps: [{rinse: never}]\n")
    ran = run("check", path, "--json")
    (fault,) = json.loads(ran.out)[0]["faults"]
    assert (ran.status, fault["line"], fault["key"]) == (1, 3, "steps[1].rinse")


def test_timeline_json_is_the_contract(run):
    timeline = json.loads(run("timeline", PLAN, "--json").out)
    assert list(timeline) == ["title", "duration_ms", "steps", "spans", "cues", "notes"]
    assert list(timeline["steps"][0]) == [
        *("name", "kind", "start_ms", "end_ms", "dark", "source", "sign")
    ]
    assert list(timeline["spans"][0]) == ["step", "kind", "start_ms", "end_ms"]
    assert list(timeline["cues"][0]) == ["at_ms", "length_ms", "meaning", "step"]


def test_times_with_and_without_decimals_stand_under_each_other(run):
    table, _, _ = run("timeline", PLAN).out.partition("\nNote:")
    times = [line[:8] for line in table.splitlines()[4:] if line[:8].strip()]
    assert any("." in time for time in times)
    assert len({time.rindex(":") for time in times}) == 1


def test_timeline_in_words(run):
    out = run("timeline", PLAN).out
    assert "enter " in out
    assert "white light harms nothing" in out
    assert "the drain is inside it" in out


def test_lights_out_after_moves_the_dark(run):
    timeline = json.loads(run("timeline", PLAN, "--json", "--lights-out-after", "2 min").out)
    dark = next(step for step in timeline["steps"] if step["dark"])
    assert dark["start_ms"] == 120_000
    assert run("timeline", PLAN, "--lights-out-after", "soon").status == 2


def test_render_writes_a_file_as_long_as_the_timeline(run, short, tmp_path):
    target = tmp_path / "short.wav"
    ran = run("render", short, "-o", target, "--speaker", "none", "--json")
    report = json.loads(ran.out)
    duration_ms = json.loads(run("timeline", short, "--json").out)["duration_ms"]
    info = soundfile.info(target)
    assert ran.status == 0
    assert (info.samplerate, info.channels, info.subtype) == (48_000, 1, "PCM_16")
    assert info.frames == report["frames"] == duration_ms * 48
    assert report["bytes"] == target.stat().st_size


def test_render_names_the_file_from_the_plan(run, short, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    name = f"{Path(short).stem}.flac"
    assert run("render", short, "--rate", "8000").out.startswith(f"{name}: ")
    assert soundfile.info(name).format == "FLAC"
    refused = run("render", short, "--rate", "8000")
    assert refused.status == 1
    assert f"{name}: this file is already there" in refused.err


def test_render_writes_tracks_that_wait_where_a_run_does(run, tmp_path):
    folder = tmp_path / "tracks"
    asked = ["render", "load-and-soak", "--tracks", folder, "--format", "opus"]
    report = json.loads(run(*asked, "--json").out)
    duration_ms = json.loads(run("timeline", "load-and-soak", "--json").out)["duration_ms"]
    assert sum(track["plan_ms"] for track in report["tracks"]) == duration_ms
    assert [bool(track["wait_ms"]) for track in report["tracks"]] == [False, True, False]
    for number, track in enumerate(report["tracks"], 1):
        with soundfile.SoundFile(folder / track["file"]) as file:
            assert file.frames == (track["plan_ms"] + track["wait_ms"]) * file.samplerate // 1000
            assert file.tracknumber == str(number)
            assert file.title == track["title"]
            assert file.album == "Loading and a dark soak"
    refused = run(*asked)
    assert refused.status == 1
    assert "there are files in this folder; name a new folder, or add --force" in refused.err


@pytest.mark.parametrize(
    ("name", "by_hand"), [("small-tank-inversions", True), ("tray-six-sheets", False)]
)
def test_render_says_that_no_track_sounds_light_safe_where_hands_make_it(
    run, tmp_path, name, by_hand
):
    asked = ["render", name, "--tracks", tmp_path / "a", "--format", "wav", "--rate", 8000]
    said = " ".join(run(*asked).out.split())
    noted = json.loads(run(*asked, "--force", "--json").out)["notes"]
    assert ("No file here sounds light-safe" in said) is by_hand
    assert any("shut it in yourself" in note for note in noted) is by_hand
    assert ("believe light-safe only if the film was in every bath" in said) is not by_hand
    assert "each wait puts off all that follows" in said


@pytest.mark.parametrize(
    "options", [("--tracks", "a", "-o", "a.mp3"), ("--format", "mp3"), ("--gates",)]
)
def test_what_belongs_to_tracks_alone_is_refused_elsewhere(run, options):
    ran = run("render", "load-and-soak", *options)
    assert ran.status == 2
    assert "--tracks" in ran.err


def test_tracks_of_a_plan_that_never_waits_tell_of_no_waiting(run, tmp_path):
    plan = tmp_path / "closed.yaml"
    plan.write_text("title: One\nvessel: {kind: tub, light: closed}\nsteps: [wash: 1 min]\n")
    said = run("render", plan, "--tracks", tmp_path / "tracks", "--format", "wav").out
    assert "so it is one file" in said
    assert "go on" not in said
    assert "the waiting" not in said


def test_a_run_without_a_speaker_ends_before_its_pages(run, monkeypatch):
    from darktimer.errors import OutputError
    from darktimer.live import trial

    def silent(*_: object) -> None:
        raise OutputError("speaker", "there is none", "plug one in")

    monkeypatch.setattr(trial, "Trial", silent)
    ran = run("run", PLAN, "--start-in", "1 s")
    assert (ran.status, ran.out) == (1, "")
    assert "speaker: there is none" in ran.err


@pytest.mark.parametrize("command", ["run", "rehearse"])
def test_help_tells_what_to_knock(run, command):
    """A rehearsal has no page that does."""
    told = " ".join(run(command, "--help").out.split())
    assert all(f"{words}: {what}." in told for what, words in IN_WORDS.items())


def test_a_run_without_keys_must_be_told_when_to_begin(run, monkeypatch, tmp_path):
    """It began at once, with nobody there, where its input was no terminal."""
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path))
    monkeypatch.setattr("os.isatty", lambda _: False)
    ran = run("run", PLAN)
    assert (ran.status, ran.out) == (1, "")
    assert "there are no keys here to begin with; say when to begin: --start-in" in ran.err


def test_render_says_what_the_speaker_adds_and_what_to_mind(run, short, tmp_path):
    out = run("render", short, "-o", tmp_path / "a.flac", "--speaker", "sleepy").out
    assert "1.2 s of soft noise" in out
    assert "Volume: start low" in out


@pytest.mark.parametrize("plan", shipped.names("sequences"))
def test_timeline_and_check_give_a_step_one_length(run, plan):
    checked = json.loads(run("check", plan, "--json").out)[0]["steps"]
    lines = [line.partition(" -- ")[2] for line in run("timeline", plan).out.splitlines()]
    told = [
        line.removesuffix("--").rsplit(maxsplit=2)[-2:] for line in map(str.strip, lines) if line
    ]
    wanted = [
        [f"{clock(step['time_ms'])},", "dark" if step["dark"] else "light"] for step in checked
    ]
    assert told == wanted


def test_a_minute_of_the_timeline_is_one_of_the_steps_own_time(run):
    told = run("timeline", "open-tub-half-agitation").out.splitlines()
    rows = [line.split()[:3] for line in told]
    assert ["4:35", "-0:05", "enter"] in rows
    assert ["11:40", "7:00", "move"] in rows
    assert rows.count(["28:56.1", "0:01.1", "light-safe"]) == 1
    at = rows.index(["28:56.1", "0:01.1", "light-safe"])
    assert "Wash 1 of 10" in next(line for line in reversed(told[:at]) if " -- " in line)


def test_render_doubts_what_check_doubts(run, tmp_path):
    plan = tmp_path / "doubtful.yaml"
    steps = "  - develop: 1 min\n    agitation: stand\n  - fix: 1 min\n    clearing: 45 s\n"
    steps += "    bath: sour\nrecipes:\n  sour:\n    title: Sour\n    bath: fixer\n    makes: 1 l\n"
    steps += "    ingredients:\n      - {substance: ammonium thiosulphate, amount: 100 g}\n"
    steps += "      - {substance: citric acid, amount: 9 g}\n"
    vessel = "vessel: {kind: cylinder, light: closed}\ntemperature: 12 C\n"
    plan.write_text(f"title: Doubtful\n{vessel}steps:\n{steps}")
    checked = json.loads(run("check", plan, "--json").out)[0]["warnings"]
    options = ("--rate", "8000", "--force", "-o", tmp_path / "a.wav")
    assert json.loads(run("render", plan, *options, "--json").out)["warnings"] == checked
    said = " ".join(run("render", plan, *options).out.split())
    assert len(checked) == 7
    assert any("throws sulphur out" in each["found"] for each in checked)
    assert "Warnings:" in said
    assert all(each["found"] in said for each in checked)


def test_render_keeps_what_is_there_unless_forced(run, short, tmp_path):
    target = tmp_path / "kept.wav"
    target.write_bytes(b"kept")
    refused = run("render", short, "-o", target)
    assert refused.status == 1
    assert "already there" in refused.err
    assert target.read_bytes() == b"kept"
    assert run("render", short, "-o", target, "--force").status == 0
    assert soundfile.info(target).frames


def test_cues_table_and_file(run, tmp_path):
    report = json.loads(run("cues", "--json", "-o", tmp_path / "cues.flac").out)
    by_meaning = {cue["meaning"]: cue for cue in report["cues"]}
    assert {"move", "stand", "lift", "light-safe", "alarm", "enter-develop"} <= set(by_meaning)
    last = report["cues"][-1]
    assert soundfile.info(tmp_path / "cues.flac").duration * 1000 > last["at_ms"]
    assert "rattle" in run("cues").out


def test_schema_is_a_schema(run):
    Draft202012Validator.check_schema(json.loads(run("schema").out))


CARRYING = """\
title: Two rounds in one
vessel: {kind: spiral tank, lihgt: closed}
recipes:
  thin tea:
    title: Thin tea
    bath: developer
    ingredients:
      - {substance: soda, amount: 5 g}
steps:
  - develop: 12 min
    bath: thin tea
"""


@pytest.mark.parametrize("asked", [("mix",), ("check",)])
def test_faults_of_the_plan_and_of_its_recipes_come_together(run, tmp_path, asked) -> None:
    path = tmp_path / "plan.yaml"
    path.write_text(CARRYING)
    refused = run(*asked, path)
    assert refused.status == 1
    assert "vessel.lihgt" in refused.err
    assert "recipes.thin tea.ingredients[1].substance: soda" in refused.err
    assert len(refused.err.splitlines()) == len(set(refused.err.splitlines()))


def test_a_run_needs_a_plan_or_something_to_take_up(run, monkeypatch, tmp_path) -> None:
    monkeypatch.setenv("DARKTIMER_HOME", str(tmp_path))
    assert run("run").status == 2
    assert run("run", "open-tub-half-agitation", "--json").status == 2
    taken_up = run("run", "--resume")
    assert taken_up.status == 1
    assert "no run was cut off" in taken_up.err


def test_a_rehearsal_from_no_step_names_the_steps(run) -> None:
    outcome = run("rehearse", "open-tub-half-agitation", "--from", "devlop")
    assert outcome.status == 1
    assert "did you mean 'develop'" in outcome.err


def test_check_and_mix_say_a_temperature_in_the_same_words(run, tmp_path):
    """C: 66 F are 18.89 °C; what takes 4:00 at 20 °C takes 2^(0.111) as long there, 4:19."""
    plan = tmp_path / "cold.yaml"
    steps = "  - develop: 9 min\n    agitation: stand\n  - fix: 4 min\n"
    film = "film: {format: 135-36, count: 1}\ntemperature: 66 F\n"
    vessel = "vessel: {kind: spiral tank, light: closed, volume: 400 ml}\n"
    plan.write_text(f"title: Cold\n{vessel}{film}steps:\n{steps}")
    words = "what takes 4:00 at 20.0 °C takes 4:19 at 18.9 °C, 1.08 times as long"
    for command in ("check", "mix"):
        assert words in " ".join(run(command, plan).out.split())


def test_timeline_shows_one_step(run):
    out = run("timeline", PLAN, "--step", "develop").out
    assert re.findall(r"-- (\w+)", out) == ["Develop"]
    assert out.count(" enter ") == 1


def test_timeline_shows_every_change_of_a_step_that_is_repeated(run):
    assert run("timeline", PLAN, "--step", "Wash").out.count(" enter ") == 10
    assert run("timeline", PLAN, "--step", "wash 3 of 10").out.count(" enter ") == 1


def test_timeline_of_one_step_for_a_script_keeps_its_indices(run):
    whole = json.loads(run("timeline", PLAN, "--json").out)
    one = json.loads(run("timeline", PLAN, "--step", "develop", "--json").out)
    (index,) = {cue["step"] for cue in one["cues"]}
    assert one["steps"] == whole["steps"]
    assert whole["steps"][index]["kind"] == "develop"
    assert one["cues"] == [cue for cue in whole["cues"] if cue["step"] == index]
    assert one["spans"] == [span for span in whole["spans"] if span["step"] == index]


def test_a_step_that_the_plan_has_not_is_named_with_those_it_has(run):
    refused = run("timeline", PLAN, "--step", "devlop")
    assert refused.status == 1
    assert "no step 'devlop'" in refused.err
    assert "did you mean 'develop'? steps are: get ready, load, soak, develop," in refused.err
