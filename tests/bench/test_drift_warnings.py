"""A bath that leaves the usual temperatures in the course of its step is doubtful."""

from math import exp, log
from pathlib import Path

import pytest
from click.testing import CliRunner

from darktimer.bench.plan_warnings import drift_warnings
from darktimer.cli.check import command as check
from darktimer.cli.mix import command as mix
from darktimer.errors import Finding
from darktimer.plan.reader import read_plan_file

PLAN = """\
title: Into the cold
film: {format: 135-36, count: 1}
vessel: {kind: tub, light: open, volume: 1.2 l, size: 15 x 20 cm}
temperature: 20 C
room: 20 C
steps:
  - load: by hand
  - develop: 20 min
    agitation: 1/2
  - fix: 8 min
    bath: plain fixer
  - wash: 40 min
"""
#: By hand: 1.2 l, 4 cm deep, over 0.03 m2 x 24.6 and (0.03 + 0.7 x 0.04) m2 x 9.5 W/K, in minutes.
CONSTANT = 1.2 * 4180 / (0.03 * 24.6 + 0.058 * 9.5) / 60


def write(folder: Path, begins: float, room: float, more: str = "") -> Path:
    path = folder / "plan.yaml"
    text = PLAN.replace("temperature: 20", f"temperature: {begins}").replace(
        "room: 20", f"room: {room}"
    )
    path.write_text(text.replace("agitation: 1/2\n", f"agitation: 1/2\n{more}"))
    return path


def found(path: Path) -> list[Finding]:
    return list(drift_warnings(read_plan_file(path).plan))


def begin_for(end: float, room: float, minutes: float, constant: float = CONSTANT) -> float:
    """C: Newton's law backwards."""
    return room + (end - room) * exp(minutes / constant)


@pytest.mark.parametrize(("room", "limit", "inwards"), [(4, 15, 1), (40, 30, -1)])
def test_the_end_of_each_step_is_looked_at(tmp_path, room: int, limit: int, inwards: int) -> None:
    just_in = begin_for(limit + 0.02 * inwards, room, 20)
    assert found(write(tmp_path, round(just_in, 4), room)) == []
    just_out = begin_for(limit - 0.02 * inwards, room, 20)
    (develop,) = found(write(tmp_path, round(just_out, 4), room))
    assert develop.path == ("steps", 1, "develop")
    assert "outside the usual 15.0 °C to 30.0 °C" in develop.found
    both = begin_for(limit - 0.02 * inwards, room, 8)
    assert [each.path[1] for each in found(write(tmp_path, round(both, 4), room))] == [1, 2]


def test_a_reading_knows_the_drift_of_its_step_better(tmp_path) -> None:
    """C: 18 to 17 C in a room of 8 in 10 min is a constant of 94.9 min, so 16.1 C after 20."""
    reads = "    drifts to: 17 C after 10 min\n"
    assert found(write(tmp_path, 18, 8, reads)) == []
    reads = "    drifts to: 16 C after 10 min\n"
    (develop,) = found(write(tmp_path, 18, 8, reads))
    constant = 10 / log(10 / 8)
    assert f"18.0 °C to {8 + 10 * exp(-20 / constant):.1f} °C" in develop.found


def test_what_begins_outside_is_said_once_and_by_the_checks(tmp_path) -> None:
    path = write(tmp_path, 14, 4)
    assert found(path) == []
    assert (
        "14.0 °C is outside the usual 15.0 °C to 30.0 °C"
        in CliRunner().invoke(check, [str(path)]).output
    )


def test_nothing_is_known_without_a_room_or_faces_that_lose_heat(tmp_path) -> None:
    path = write(tmp_path, 16, 4)
    text = path.read_text()
    assert found(path)
    for was, becomes in (("room: 4 C\n", ""), ("light: open", "light: closed")):
        path.write_text(text.replace(was, becomes))
        assert found(path) == []


@pytest.mark.parametrize("asked", ["", "    time is for: 20 C\n    adjust: for drift\n"])
def test_check_and_mix_say_it_adjusted_or_not(tmp_path, asked: str) -> None:
    reads = "    drifts to: 15.8 C after 10 min\n"
    path = write(tmp_path, 17, 8, asked + reads)
    for command in (check, mix):
        said = " ".join(CliRunner().invoke(command, [str(path)]).output.split())
        longer = asked and command is check  # who mixes sees the plan as written
        assert f"the bath drifts from 17.0 °C to {13 if longer else 14}." in said
        assert "stand its vessel in more water" in said


def test_an_adjusted_develop_keeps_what_its_thermometer_read(tmp_path) -> None:
    """C: 17 to 16.6 C in a room of 8 in 10 min is a constant of 220 min; the vessel's is 65."""
    asked = "    time is for: 20 C\n    adjust: for drift\n"
    slow = write(tmp_path, 17, 8, asked + "    drifts to: 16.6 C after 10 min\n")
    assert "steps[2].develop: the bath drifts" not in CliRunner().invoke(check, [str(slow)]).output
    by_vessel = write(tmp_path, 17, 8, asked)
    assert "steps[2].develop: the bath drifts" in CliRunner().invoke(check, [str(by_vessel)]).output


def test_evaporation_alone_takes_more_than_a_warmer_room_gives() -> None:
    """What the estimate leaves out, and says so: a bath of 18 C in air of 24 C at 50 % humidity.

    P, from memory: Bowen 1926, Phys. Rev. 27:779: heat by evaporation to heat from the air is
    (e - ea) / (0.66 hPa/K (T - Ta)); saturation pressures after Magnus, as WMO has them.
    """

    def saturated_hpa(celsius: float) -> float:
        return 6.112 * exp(17.62 * celsius / (243.12 + celsius))

    lost = saturated_hpa(18) - 0.5 * saturated_hpa(24)
    assert lost / 0.66 > 24 - 18
