"""What ``check`` and ``mix`` both doubt: film that does not fit, baths that spoil each other."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from darktimer.cli import check, mix
from darktimer.errors import FileError
from darktimer.plan.reader import read_plan_file

PLAN = """\
title: Evening
film: {FILM}
vessel: {VESSEL}
temperature: 20 C
habits: {agitation: continuous, transfer: 10 s}
steps:
  - load: by hand
  - develop: 10 min
    bath: brew
  - stop: 1 min
    bath: sour
  - fix: 8 min
    bath: hypo bath
recipes:
"""
RECIPES = {
    "brew": ("developer", "{substance: sodium carbonate anhydrous, amount: 30 g}"),
    "sour": ("stop", "{substance: citric acid, amount: 11 g}"),
    "hypo bath": ("fixer", "{substance: sodium thiosulphate pentahydrate, amount: 200 g}"),
}
TANK = "kind: spiral tank, light: closed, volume: 1 l"
ROLL = "format: 135-36, count: 1"
SULPHITE = "{substance: sodium sulphite anhydrous, amount: 15 g}"
SULPHUR = "acid throws sulphur out of the thiosulphate"


def written(
    folder: Path, film: str = ROLL, vessel: str = TANK, more: dict[str, str] | None = None
) -> Path:
    """A plan that carries its recipes; ``more`` holds a further ingredient of some of them."""
    text = PLAN.replace("FILM", film).replace("VESSEL", vessel)
    for name, (bath, ingredient) in RECIPES.items():
        held = ", ".join(filter(None, (ingredient, (more or {}).get(name))))
        text += f"  {name}: {{title: {name}, bath: {bath}, makes: 1 l, ingredients: [{held}]}}\n"
    path = folder / "plan.yaml"
    path.write_text(text)
    return path


def both(path: Path) -> tuple[list[dict[str, object]], str]:
    """The warnings of ``check``, and the page of ``mix`` on one line."""
    run = CliRunner()
    checked = run.invoke(check.command, [str(path), "--json"])
    assert checked.exit_code == 0, checked.output
    mixed = run.invoke(mix.command, [str(path)])
    assert mixed.exit_code == 0, mixed.exception
    return json.loads(checked.output)[0]["warnings"], " ".join(mixed.output.split())


TRAY = "kind: tray, light: open, volume: 1 l"


@pytest.mark.parametrize(
    ("film", "vessel", "key", "words"),
    [
        ("format: 8x10 in, sheets: 2", f"{TRAY}, size: 15 x 20 cm", "size", "larger than the tray"),
        ("format: 16 mm, length: 3 ft", f"{TANK}, holds: 90 cm", "holds", "more than the vessel"),
        ("format: 4x5 in, sheets: 2", f"{TRAY}, diameter: 16 cm", "diameter", "163 mm from corner"),
        ("format: 135-36, count: 3", f"{TANK}, reels: 2", "reels", "3 rolls, and 2 reels"),
        ("format: 135-36, count: 3", f"{TANK}, holds: 2 rolls", "holds", "more than the vessel"),
        ("format: 16 mm, length: 100 ft", f"{TANK}, holds: 15 m", "holds", "more than the vessel"),
        ("format: 16 mm, length: 100 ft", f"{TANK}, holds: 2", "holds", "needs a length here"),
        (ROLL, f"{TANK}, holds: 50 ft", "holds", "needs how many pieces here"),
        # C: 100 ft of 16 mm push 63 ml aside, and a tenth of 500 ml is 50.
        (
            "format: 16 mm, length: 100 ft",
            "kind: drum, light: closed, volume: 500 ml",
            "volume",
            "the film alone takes up 63.2 ml of 500 ml",
        ),
        ("format: 135-36, count: 5", TANK, "volume", "1.5 l are usual for this film"),
    ],
)
def test_film_that_does_not_fit(tmp_path: Path, film, vessel, key: str, words: str) -> None:
    warnings, mixed = both(written(tmp_path, film, vessel))
    assert [each for each in warnings if words in each["found"] and each["line"] == 3], warnings
    assert [each["key"] for each in warnings if words in each["found"]] == [f"vessel.{key}"]
    assert words in mixed


@pytest.mark.parametrize(
    ("film", "vessel"),
    [
        ("format: 4x5 in, sheets: 2", f"{TRAY}, size: 20 x 15 cm"),
        ("format: 4x5 in, sheets: 2", f"{TRAY}, size: 13 x 11 cm"),  # the other way round
        ("format: 4x5 in, sheets: 2", f"{TRAY}, diameter: 17 cm"),
        ("format: 135-36, count: 2", f"{TANK}, reels: 2, holds: 2"),
        ("format: 16 mm, length: 50 ft", f"{TANK}, holds: 50 ft"),
    ],
)
def test_film_that_fits(tmp_path: Path, film: str, vessel: str) -> None:
    warnings, _ = both(written(tmp_path, film, vessel))
    assert [each["key"] for each in warnings if "vessel" in each["key"]] == []


@pytest.mark.parametrize("holds", ["0", "many", "2 reels", "-3 ft", "9999"])
def test_what_a_vessel_holds_is_a_number_or_a_length(tmp_path: Path, holds: str) -> None:
    with pytest.raises(FileError, match=r":3:\d+: vessel\.holds: .*write"):
        read_plan_file(written(tmp_path, vessel=f"{TANK}, holds: {holds}"))


def test_acid_into_a_fixer_without_sulphite(tmp_path: Path) -> None:
    warnings, mixed = both(written(tmp_path))
    (found,) = [each for each in warnings if SULPHUR in each["found"]]
    assert (found["line"], found["key"]) == (12, "steps[4]")
    assert "from sour into hypo bath" in found["found"]
    assert "rinse: 1 min" in found["remedy"]
    assert SULPHUR in mixed


def test_a_rinse_or_sulphite_keeps_the_fixer(tmp_path: Path) -> None:
    path = written(tmp_path, more={"hypo bath": SULPHITE})
    assert SULPHUR not in str(both(path))
    path = written(tmp_path)
    path.write_text(path.read_text().replace("  - fix:", "  - rinse: 1 min\n  - fix:"))
    assert SULPHUR not in str(both(path))


def test_a_stop_of_water_carries_no_acid_and_one_not_known_may(tmp_path: Path) -> None:
    path = written(tmp_path)
    path.write_text(path.read_text().replace("bath: sour", "bath: water"))
    assert SULPHUR not in str(both(path))
    path.write_text(path.read_text().replace("bath: water", "bath: from a bottle"))
    assert SULPHUR in str(both(path))


CARRIED = "film carries developer from brew into hypo bath: it goes on working there"


@pytest.mark.parametrize(
    ("between", "more", "told"),
    [
        ("", None, True),
        ("  - rinse: 30 s\n", None, False),
        ("  - stop: 30 s\n    bath: water\n", None, False),
        ("", {"hypo bath": "{substance: citric acid, amount: 5 g}, " + SULPHITE}, False),
    ],
)
def test_developer_into_a_fixer_that_is_not_acid(
    tmp_path: Path, between: str, more: dict[str, str] | None, told: bool
) -> None:
    """Common practice, no source."""
    path = written(tmp_path, more=more)
    path.write_text(path.read_text().replace("  - stop: 1 min\n    bath: sour\n", between))
    warnings, mixed = both(path)
    found = [each for each in warnings if CARRIED in each["found"]]
    assert [each["key"] for each in found] == ["steps[3]"] * told
    assert (CARRIED in mixed) is told


@pytest.mark.parametrize(
    ("into", "told"), [("hypo bath", True), ("water", False), ("sour", False), ("unknown", True)]
)
def test_developer_into_a_fixer_in_which_pieces_wait(tmp_path: Path, into: str, told: bool) -> None:
    """Common practice, no source; of a fixer that nobody knows it is not taken that it is acid."""
    path = written(tmp_path, vessel="kind: tub, light: open, volume: 1 l")
    pieces = f"    pieces: {{times: [6 min, 10 min], out: one by one, into: {into}}}\n"
    text = path.read_text().replace("  - stop", f"{pieces}  - stop")
    path.write_text(text.replace("bath: hypo bath", f"bath: {into}") if into == "unknown" else text)
    (warnings, _) = both(path)
    found = [each for each in warnings if "carries developer from brew" in str(each["found"])]
    assert [each["key"] for each in found] == ["steps[2].pieces.into"] * told
    assert all("into: water" in str(each["remedy"]) for each in found)


def test_a_fixer_of_acid_and_hypo_alone(tmp_path: Path) -> None:
    path = written(tmp_path, more={"hypo bath": "{substance: citric acid, amount: 5 g}"})
    path.write_text(path.read_text().replace("  - fix:", "  - rinse: 1 min\n  - fix:"))
    warnings, mixed = both(path)
    (found,) = [each for each in warnings if SULPHUR in each["found"]]
    assert "add sodium sulphite" in found["remedy"]
    assert SULPHUR in mixed


@pytest.mark.parametrize(
    ("substance", "words"),
    [
        (
            "borax decahydrate, amount: 60 g",
            "60 g/l of borax decahydrate do not dissolve at 20.0 °C",
        ),
        ("baking soda, amount: 110 g", "110 g/l of baking soda do not dissolve at 20.0"),
    ],
)
def test_more_than_dissolves(tmp_path: Path, substance: str, words: str) -> None:
    path = written(tmp_path, more={"brew": f"{{substance: {substance}}}"})
    warnings, mixed = both(path)
    assert [each["line"] for each in warnings if words in each["found"]] == [8]
    assert words in mixed


def test_a_kept_bath_does_not_make_a_vessel_larger(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from darktimer.journal.baths import KeptBath

    kept = KeptBath(1, "a", "hypo bath", 9000.0, 0, None, 9.0, None)
    monkeypatch.setattr("darktimer.prepare.prepared.baths_in_use", lambda: [kept])
    path = written(tmp_path, "format: 135-36, count: 3")
    text = path.read_text().replace("title: hypo bath,", "title: hypo bath, rolls per litre: 2,")
    path.write_text(text)
    _, mixed = both(path)
    page = mixed[mixed.index("hypo bath: 1.5 l") :]
    assert "use it, and mix none" in page
    assert "the vessel is 500 ml too small" in page


@pytest.mark.parametrize(
    ("more", "words"),
    [
        # C: 12 g of caustic soda in a litre are 0.3 mol/l, whose pH lies above 13.
        ({"brew": "{substance: sodium hydroxide, amount: 12 g}"}, "expect fog"),
        ({"sour": "{plant: sorrel, amount: 9 g, steep: 5 min}"}, SULPHUR),
    ],
)
def test_a_recipe_is_doubted_on_both_pages(
    tmp_path: Path, more: dict[str, str], words: str
) -> None:
    path = written(tmp_path, more=more)
    text = path.read_text()
    # No carbonate to know a developer by, no acid that somebody measured.
    text = text.replace("{substance: sodium carbonate anhydrous, amount: 30 g}, ", "")
    path.write_text(text.replace("{substance: citric acid, amount: 11 g}, ", ""))
    warnings, mixed = both(path)
    assert any(words in str(each["found"]) for each in warnings)
    assert words in mixed


def test_what_the_sheet_doubts_of_a_bath_check_doubts_too(tmp_path: Path) -> None:
    """C: ten rolls at two a litre ask for 5 l, in a tank that takes 3 l."""
    path = written(tmp_path, "format: 135-36, count: 10", TANK.replace("1 l", "3 l"))
    text = path.read_text().replace("title: hypo bath,", "title: hypo bath, rolls per litre: 2,")
    path.write_text(text.replace("title: sour, bath: stop", "title: sour, bath: wetting"))
    warnings, mixed = both(path)
    told = [f"{each['found']}; {each['remedy']}" for each in warnings]
    for words in (
        "the vessel is 2 l too small; split the film into 2 loads",
        "sour makes another bath (wetting) than Stop calls for",
        "the recipe gives no capacity",
    ):
        assert any(words in each for each in told), words
        assert words in mixed
