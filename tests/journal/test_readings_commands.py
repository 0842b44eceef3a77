"""Readings of pieces, as they are typed and as they are shown."""

import json
import subprocess
import sys

import pytest

from darktimer.journal.journal import Journal
from tests.journal.test_commands import home, refused, typed  # noqa: F401
from tests.journal.test_of_films import TWO
from tests.journal.test_piece_times import TIMES, densities, gamma_after, ladder
from tests.journal.test_review import played

TABLET = ("--tablet", "21 x 0.15")


def listed(gamma):
    return ",".join(f"{each:.2f}" for each in densities(gamma))


@pytest.fixture
def run(home):  # noqa: F811
    with Journal.open() as journal:
        ladder(journal, home)
    return home


@pytest.fixture
def read_run(run):
    for piece, minutes in enumerate(TIMES, 1):
        given = "--densities", listed(gamma_after(minutes)), *TABLET
        typed("journal", "add-result", "1", "--piece", str(piece), *given)
    return run


def test_readings_are_printed_back_with_what_they_measure(run):
    said = typed("journal", "add-result", "1", "--piece", "2", "--densities", listed(0.6), *TABLET)
    assert said.startswith("Run 1, piece 2: 21 densities are kept\n")
    assert "base + fog 0.20 ± 0.01" in said
    assert "gamma 0.60 ± 0.0" in said
    assert "contrast index 0.60 ± 0.0" in said
    assert "speed" not in said.replace("speed point", "")
    found = json.loads(typed("journal", "1", "--json"))["parts"][1]
    assert (found["piece"], found["developed_ms"]) == (2, 420_000)
    assert found["measured"]["gamma"]["value"] == pytest.approx(0.6, abs=0.01)
    assert found["measured"]["speed"] is None


def test_exposures_in_lux_seconds_tell_a_speed(run):
    """0.10 over base + fog at Hm = 0.0080 lux s, developed by the standard: S 100, 21 degrees."""
    lg_h = [-3 + 0.15 * step for step in range(16)]
    read = [0.2 + max(0, 0.615 * (x + 2.0969) + 0.1) for x in lg_h]
    exposures = ",".join(f"{10**x:.6f}" for x in lg_h)
    given = ",".join(f"{each:.3f}" for each in read)
    said = typed("journal", "add-result", "1", "--densities", given, "--exposures", exposures)
    assert "speed 100/21°" in said


def test_scripts_are_given_readings_as_figures(run):
    """Wherever a result is told; after an export and an import too."""
    none = dict.fromkeys(("densities", "exposures", "base_fog", "uncertainty"))
    assert none.items() <= json.loads(typed("journal", "--json"))[0]["result"].items()
    given = "--densities", listed(0.6), "--base-fog", "0.2"
    typed("journal", "add-result", "1", "--piece", "2", *given, *TABLET)
    told = json.loads(typed("journal", "add-result", "1", *given, *TABLET, "--json"))
    figures = [round(each, 2) for each in densities(0.6)]
    wanted = {"exposures": "21 x 0.15", "base_fog": 0.2, "uncertainty": 0.02, "densities": figures}
    typed("journal", "export", "out.jsonl")
    with pytest.MonkeyPatch.context() as elsewhere:
        elsewhere.setenv("DARKTIMER_HOME", "elsewhere")
        typed("journal", "import", "out.jsonl")
        listing = json.loads(typed("journal", "--json"))[0]
        page = json.loads(typed("journal", "1", "--json"))
        lux_seconds = "--densities", "0.2,0.3,0.4,0.5,0.6", "--exposures", "1,2,4,8,16"
        typed("journal", "add-result", "1", *lux_seconds)
        in_lux_seconds = json.loads(typed("journal", "1", "--json"))["result"]["exposures"]
    assert in_lux_seconds == [1, 2, 4, 8, 16]
    parts = listing["results_of_parts"][0], page["parts"][-2]["result"]
    for each in (told, listing["result"], page["result"], *parts):
        assert {**each, **wanted} == each


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (("--densities", "0.2,0.3"), "by --tablet or by --exposures"),
        (("--densities", "0.2,0.3", *TABLET, "--exposures", "1,2"), "--exposures, not both"),
        (TABLET, "add --densities"),
        (("--base-fog", "0.2"), "add --densities"),
        (("--densities", "0.2,x", *TABLET), "figure 2 of 2: 'x' is not a density"),
        (("--densities", "0.2,0.3", "--tablet", "21"), "such as 21 x 0.15"),
        (("--densities", "0.2,0.3", "--exposures", "1,-2"), "figure 2 of 2: '-2' is not an exp"),
        (("--densities", "0.2,0.3", "--exposures", "1,0"), "figure 2 of 2: an exposure 0 is not"),
        (
            ("--densities", "0.2,0.3", *TABLET, "--base-fog", "9"),
            "'9' is not a density that film has",
        ),
        (
            ("--densities", "0.2,0.3", *TABLET, "--uncertainty", "so"),
            "'so' is not an uncertainty; w",
        ),
        (("--densities", "0.2,0.3", *TABLET, "--uncertainty", "nan"), "'nan' is not an uncertaint"),
        (("--densities", "0.2,0.3", *TABLET, "--uncertainty", "3"), "give 0.001 to 0.5, or leave"),
    ],
)
def test_readings_that_cannot_be_taken_are_named(run, given, says):
    assert says in typed("journal", "add-result", "1", *given, status=2)


def test_a_fault_of_the_strip_names_run_and_piece(run):
    given = "--piece", "2", "--densities", "0.2,0.3", *TABLET
    found = refused("journal", "add-result", "1", *given)
    assert found.startswith("run 1, piece 2: 2 densities for 21 exposures; give one density")
    assert "it has piece 1 to piece 3, not piece 9" in refused(
        "journal", "add-result", "1", "--piece", "9", "--density", "0"
    )


def test_the_page_of_a_run_shows_what_was_measured_of_each_piece(read_run):
    typed("journal", "add-result", "1", "--piece", "3", "--contrast", "contrasty")
    page = typed("journal", "1")
    assert "piece 1, 5:00: densities were read" in page
    assert "piece 3, 10:00: contrast +1 (contrasty)" in page
    (row,) = (line.split() for line in page.splitlines() if line.startswith("piece 2"))
    assert row[2] == "7:00"
    assert [float(row[at]) for at in (3, 6, 9)] == pytest.approx([0.2, 0.62, 0.62], abs=0.02)
    assert "develop for" in page
    assert max(map(len, page.splitlines())) <= 80


def test_next_says_which_it_went_by(read_run):
    assert "by the readings of 3 pieces" in typed("next", "1", "--gamma", "0.6", "-o", "a.yaml")
    assert "develop: 6 min 3" in (read_run / "a.yaml").read_text()
    assert "--gamma or --contrast-index" in typed(
        "next", "1", "--gamma", "0.6", "--contrast-index", "0.6", status=2
    )
    assert "--gamma" in typed("next", "1", "--gamma", "0", status=2)


@pytest.mark.parametrize("gamma", ["0.06", "2", "5"])
def test_a_value_that_the_readings_do_not_bear_writes_no_plan(read_run, gamma):
    typed("journal", "add-result", "1", "--piece", "1", "--density", "thin")
    typed("journal", "add-result", "1", "--piece", "3", "--density", "dense")
    said = refused("next", "1", "--gamma", gamma, "-o", "new.yaml")
    assert said.startswith(f"run 1: gamma {float(gamma):.2f} is ")
    assert not (read_run / "new.yaml").exists()


def test_a_reason_for_several_figures_or_pieces_is_given_once(run):
    steep = ",".join(f"{0.2 + 0.09 * step:.2f}" for step in range(21))
    for piece in "123":
        given = "--piece", piece, "--densities", steep, *TABLET
        said = " ".join(typed("journal", "add-result", "1", *given).split())
        assert said.count("is not flat") == 1
        assert "base + fog, average gradient, contrast index, speed point: the foot" in said
    said = refused("journal", "plot", "time", "1", "--contrast-index", "0.6", "-o", "t.svg")
    assert said.startswith(
        "run 1: the contrast index is not known for any piece; piece 1, piece 2, piece"
    )
    assert "piece 3 are left out: contrast index: the foot of the curve" in said
    assert said.count("is not flat") == 1


def test_plots_of_readings(read_run):
    typed("journal", "plot", "curve", "1", "-o", "curve.svg")
    assert "Against it" not in typed("journal", "plot", "time", "1", "-o", "time.svg")
    beyond = typed("journal", "plot", "time", "1", "--gamma", "0.9", "-o", "beyond.png")
    assert "gamma 0.90 is more than any piece has" in beyond
    assert (read_run / "beyond.png").exists()


def test_what_was_read_of_one_of_two_films_is_drawn_and_named(home):  # noqa: F811
    with Journal.open() as journal:
        played(journal, home, TWO)
    typed("journal", "add-result", "1", "--film", "2", "--densities", listed(0.6), *TABLET)
    typed("journal", "plot", "curve", "1", "-o", "curve.svg")
    assert "film 2, 10:00" in (home / "curve.svg").read_text("utf-8")
    said = refused("journal", "plot", "time", "1", "-o", "time.svg")
    assert said.startswith("run 1: film 2: the contrast index is known after one time only")
    assert said == refused("next", "1", "--contrast-index", "0.6")
    assert "no time by readings: film 2: the contrast index is known after" in typed("next", "1")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("add-result", "1", "--piece", "0"), "found '0'; write a whole number from 1"),
        (("add-result", "1", "--film", "x"), "found 'x'; write a whole number from 1"),
        (("plot", "time", "one", "-o", "t.svg"), "found 'one'; write a whole number\n"),
    ],
)
def test_what_is_no_number_of_a_run_or_its_part_says_what_to_write(run, words, says):
    assert says in typed("journal", *words, status=2)


def test_the_help_says_in_words_which_numbers_may_be_written():
    said = " ".join(typed("next", "--help").split())
    assert "[from 0.05 to 5]" in said
    assert "RANGE" not in said
    assert "[x" not in typed("new", "--help")
    assert "..." not in typed("journal", "plot", "--help").partition("Commands")[2]


def test_known_has_the_latest_figures_of_a_time_though_a_later_run_was_marked(run):
    with Journal.open() as journal:
        ladder(journal, run)
    typed("journal", "add-result", "1", "--piece", "2", "--density", "thin")
    typed("journal", "add-result", "2", "--piece", "2", "--keep")
    known = typed("journal", "known")
    assert "kept: 7:00, run 2, piece 2" in known
    assert "7:00, 2 runs, run 1, piece 2: density" in known


def test_what_nothing_is_known_of_is_named(run):
    assert "No finished run matches: hill 400." in typed("journal", "known", "--stock", "hill 400")


def test_plots_of_nothing_say_so(run):
    assert "no densities were read of run 1" in refused(
        "journal", "plot", "curve", "1", "-o", "curve.svg"
    )
    assert "run 1: nothing was read" in refused("journal", "plot", "time", "1", "-o", "t.svg")


def test_nothing_heavy_is_loaded_for_readings(read_run):
    code = (
        "import sys; from darktimer.cli import main\n"
        "sys.argv = ['darktimer', 'journal', '1']\n"
        "try: main()\nexcept SystemExit: pass\n"
        "assert not {'numpy', 'scipy', 'matplotlib'} & sys.modules.keys()\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, timeout=60)


def test_compare_shows_what_was_measured_of_both(read_run):
    with Journal.open() as journal:
        ladder(journal, read_run)
    given = "--densities", listed(0.8), *TABLET
    typed("journal", "add-result", "2", "--piece", "2", *given)
    found = {
        row["what"]: row for row in json.loads(typed("journal", "compare", "1", "2", "--json"))
    }
    measured = {name: row for name, row in found.items() if name.startswith("piece")}
    assert measured.keys() == {
        "piece 2: gamma", "piece 2: average gradient", "piece 2: contrast index",
        "piece 2: speed point at lg H",
    }  # fmt: skip
    assert measured["piece 2: gamma"]["1"].startswith("0.6")
    assert measured["piece 2: gamma"]["2"].startswith("0.80 ± 0.0")


def test_the_table_of_runs_says_of_how_many_pieces_there_are_results(read_run):
    typed("journal", "add-result", "1", "--piece", "3", "--contrast", "contrasty")
    table = typed("journal")
    assert "of 3 pieces" in table
    assert "contrasty" not in table


@pytest.mark.parametrize("value", ["nan", "steep", "0.01", "inf"])
@pytest.mark.parametrize("option", ["--gamma", "--contrast-index"])
def test_what_is_no_number_is_wanted_of_no_film(read_run, option, value):
    """A comparison with nan is false, so that no limit of a range stops it."""
    target = read_run / "new.yaml"
    said = typed("next", "1", option, value, "-o", str(target), status=2)
    assert f"found '{value}'; write a number from 0.05 to 5" in said
    assert not target.exists()
