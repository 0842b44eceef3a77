"""The vessel as a plan writes it: its shape, what was measured, and what is too small."""

from pathlib import Path

import pytest

from darktimer.bench.bath_sheet import BenchOptions
from darktimer.bench.plan_inputs import film_of, vessel_of
from darktimer.bench.recipe_lookup import recipes_of
from darktimer.bench.sheet import Sheet, bench_sheet
from darktimer.bench.unit_system import IMPERIAL
from darktimer.bench.vessel import VesselGeometry
from darktimer.errors import FileError
from darktimer.plan.reader import PlanFile, read_plan_file

PLAN = """\
title: Vessels
film: {FILM}
vessel: {VESSEL}
steps:
  - load: by hand
  - soak: 1 min
"""
ROLL = "format: 135-36, count: 1"


def plan(folder: Path, vessel: str, film: str = ROLL) -> PlanFile:
    path = folder / "plan.yaml"
    path.write_text(PLAN.replace("FILM", film).replace("VESSEL", vessel))
    return read_plan_file(path)


def vessel(folder: Path, written: str, film: str = ROLL) -> VesselGeometry:
    file = plan(folder, written, film)
    with file.blamed():
        return vessel_of(file.plan, film_of(file.plan))


def sheet(
    folder: Path, written: str, film: str = ROLL, wishes: BenchOptions | None = None
) -> Sheet:
    file = plan(folder, written, film)
    return bench_sheet(file.plan, recipes_of(file), wishes or BenchOptions())


@pytest.mark.parametrize(
    ("written", "cover_ml"),
    [  # by hand: width x length x depth, pi/4 x diameter^2 x depth; M: 300 ml a reel of 135
        ("kind: tray, light: open, size: 20 x 25 cm", 1000),  # C: 2 cm deep
        ("kind: tray, light: open, size: 8 x 10 in, depth: 2 cm", 1032.3),
        ("kind: tray, light: open, size: 20 x 25 cm, depth: 3 cm", 1500),
        ("kind: cylinder, light: open, diameter: 10 cm, depth: 12 cm", 942.5),
        ("kind: tub, light: open, diameter: 20 cm, depth: 5 cm", 1570.8),
        ("kind: spiral tank, light: closed", 300),
        ("kind: spiral tank, light: closed, reels: 3", 900),
        ("kind: tub, light: open", 424.5),  # T: 4 l for 0.4862 m2, here 0.0516 m2
        ("kind: tub, light: open, size: 12 x 18 cm", 971.6),  # 34.98 mm and 10 mm over it
        ("kind: cylinder, light: open, diameter: 10 cm, volume: 1.2 l", 1200),  # measured rules
    ],
)
def test_what_covers_by_shape(tmp_path: Path, written: str, cover_ml: float) -> None:
    assert vessel(tmp_path, written).cover_ml == pytest.approx(cover_ml, rel=2e-3)


def test_the_faces_of_what_was_measured(tmp_path: Path) -> None:
    """By hand: 1 l over 200 cm2 stands 5 cm deep, with 60 cm around: 200 and 500 cm2."""
    open_tub = vessel(tmp_path, "kind: tub, light: open, size: 10 x 20 cm, volume: 1 l")
    assert (open_tub.open_cm2, open_tub.wall_cm2) == (
        pytest.approx(200),
        pytest.approx(500),
    )
    with_a_lid = vessel(tmp_path, "kind: tub, light: closed, size: 10 x 20 cm, volume: 1 l")
    assert (with_a_lid.open_cm2, with_a_lid.wall_cm2) == (0, 0)


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("kind: cylinder, light: open", "or diameter: 11 cm and depth: 12 cm"),
        ("kind: cylinder, light: open, diameter: 11 cm", "add volume: 1.5 l"),
        ("kind: tray, light: open", "or size: 20 x 25 cm"),
        ("kind: drum, light: closed", "measure it, and add volume: 1.5 l"),
    ],
)
def test_a_vessel_that_tells_nothing(tmp_path: Path, written: str, words: str) -> None:
    with pytest.raises(FileError, match=r":3:9: vessel: how much bath covers the film") as refusal:
        vessel(tmp_path, written)
    assert words in str(refusal.value)


@pytest.mark.parametrize(
    ("written", "film", "words"),
    [
        (
            "kind: spiral tank, light: closed, volume: 300 ml",
            "format: 135-36, count: 2",
            "600 ml are usual for this film (spiral tank); the film must be covered: the "
            "vessel is 300 ml too small: split the film into 2 loads with fresh bath each, or "
            "take a vessel that holds 613 ml",
        ),
        (
            "kind: bucket, light: open, volume: 3 l",
            "format: 16 mm, length: 100 ft",
            "the vessel is 1 l too small: cut the film into 2 loads",
        ),
        ("kind: spiral tank, light: closed, volume: 290 ml", ROLL, ""),  # tanks differ
        ("kind: tray, light: open, volume: 500 ml", ROLL, ""),  # nothing usual is known
    ],
)
def test_a_load_that_is_not_covered_is_warned_of(
    tmp_path: Path, written: str, film: str, words: str
) -> None:
    found = sheet(tmp_path, written, film).warnings
    assert len(found) == bool(words)
    assert words in " ".join(found)


def test_the_number_of_containers_and_what_is_to_spare(tmp_path: Path) -> None:
    """By hand: 300 ml of acid stop in bottles of 125 ml are three, with 75 ml to spare."""
    file = plan(tmp_path, "kind: spiral tank, light: closed")
    path = Path(file.document.source)
    path.write_text(path.read_text() + "  - stop: 1 min\n    bath: acid stop\n")
    file = read_plan_file(path)
    made = bench_sheet(file.plan, recipes_of(file), BenchOptions(container_ml=125, say=IMPERIAL))
    stop = made.baths[-1]
    assert (stop.containers, stop.container_ml, stop.volume_ml) == (3, 125, 375)
    assert stop.spare_ml == pytest.approx(75)


def test_a_bath_close_to_boiling_has_a_sheet(tmp_path: Path) -> None:
    """4 C more would be steam, for which no time is shown."""
    path = Path(plan(tmp_path, "kind: spiral tank, light: closed").document.source)
    hot = "  - develop: 5 min\n    agitation: continuous\n    temperature: 98 C\n"
    path.write_text(path.read_text() + hot)
    file = read_plan_file(path)
    (time,) = bench_sheet(file.plan, recipes_of(file), BenchOptions()).times
    assert [warm for warm, _ in time.elsewhere] == [94, 96, 100]
    path.write_text(path.read_text().replace("98 C", "198 C"))
    with pytest.raises(FileError, match=r":9:18: steps\[3\]\.temperature: at 198 C water is steam"):
        read_plan_file(path)
