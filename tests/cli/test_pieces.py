"""Pieces of a film on the command line: how each comes out, in words and for scripts."""

import json

PLAN = "pieces-in-one-by-one"


def test_check_gives_each_piece_its_own_time_and_moving(run):
    lines = run("check", PLAN).out.splitlines()
    develop = next(i for i, line in enumerate(lines) if "Develop" in line)
    assert [line.split() for line in lines[develop + 1 : develop + 5]] == [
        ["15:35", "piece", "1", "6:00", "3:00,", "50.0", "%"],
        ["13:35", "piece", "2", "8:00", "4:00,", "50.0", "%"],
        ["11:35", "piece", "3", "10:00", "5:00,", "50.0", "%"],
        ["8:35", "piece", "4", "13:00", "6:30,", "50.0", "%"],
    ]
    (report,) = json.loads(run("check", PLAN, "--json").out)
    assert report["pieces"][0] == {
        "number": 1, "step": 3, "start_ms": 935_000, "end_ms": 1_300_000, "time_ms": 360_000,
        "agitated_ms": 180_000,
    }  # fmt: skip
    assert "pieces" not in json.loads(run("check", "long-stand", "--json").out)[0]


def test_timeline_tells_the_pieces_and_their_sounds(run):
    shown = run("timeline", PLAN, "--step", "develop").out
    assert shown.count("the next piece: ") == 3
    pieces = json.loads(run("timeline", PLAN, "--json").out)["pieces"]
    assert [each["time_ms"] for each in pieces] == [360_000, 480_000, 600_000, 780_000]
    assert {each["step"] for each in pieces} == {3}


def test_a_piece_left_alone_is_moved_in_the_opening_only(run):
    (report,) = json.loads(run("check", "pieces-moved-and-standing", "--json").out)
    assert [each["agitated_ms"] for each in report["pieces"]] == [450_000, 30_000]
