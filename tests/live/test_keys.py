"""Presses: which bytes are a key, and what a row of keys asks for."""

import os
import pty
import sys
import termios
import threading
import time

import pytest
from hypothesis import given
from hypothesis import strategies as some

from darktimer.live.gestures import Gesture, Gestures, Key
from darktimer.live.terminal_keys import TerminalKeyboard, keys
from darktimer.live.windows_keys import WindowsKeyboard
from tests.live.plans import OTHER, SPACE


@pytest.mark.parametrize("sent", [b" ", b"\r", b"\n", b"\x1b[6~", b"\x1b[C", b"\x1bOC", b"\x1bOM"])
def test_these_keys_go_on(sent):
    (key,) = keys(sent)
    assert key.goes_on


@pytest.mark.parametrize(
    "sent",
    [b"x", b"\x1b", b"\x1b[A", b"\x1b[5~", b"\x1b[15;5~", b"\x1bx", b"\xc3\xa9", b"\x03", b"\x7f",
     "光".encode(), b"\x1bOP"],
)  # fmt: skip
def test_these_are_one_key_each_and_ask_where_one_is(sent):
    (key,) = keys(sent)
    assert not key.goes_on


def test_a_row_of_bytes_is_taken_apart():
    assert [k.name for k in keys(b"a \x1b[C\x1b\x1b[Ab")] == [
        "a", "space", "right", "1b", "1b 5b 41", "b",
    ]  # fmt: skip


@given(some.binary(max_size=60))
def test_any_bytes_are_keys(sent):
    assert bool(list(keys(sent))) == bool(sent)


def read(*presses: tuple[int, Key]) -> list[Gesture]:
    gestures = Gestures()
    return [gestures.read(key, at_ms) for at_ms, key in presses]


def test_two_presses_hold_and_two_apart_ask_twice():
    assert read((0, OTHER), (500, OTHER)) == [Gesture.WHERE, Gesture.HOLD]
    assert read((0, OTHER), (900, OTHER)) == [Gesture.WHERE, Gesture.WHERE]


def test_a_glove_on_several_keys_is_one_press():
    presses = [(k, Key(name, False)) for k, name in enumerate("qwer")]
    assert read(*presses) == [Gesture.WHERE, *[Gesture.NOTHING] * 3]


def test_a_bouncing_switch_goes_on_once():
    assert read((0, SPACE), (30, SPACE), (300, SPACE)) == [
        Gesture.GO_ON, Gesture.NOTHING, Gesture.NOTHING,
    ]  # fmt: skip


def test_five_of_one_key_abort_and_five_different_ones_do_not():
    assert read(*[(400 * k, SPACE) for k in range(5)])[-1] is Gesture.ABORT
    assert Gesture.ABORT not in read(*[(401 * k + 2_100 * k, SPACE) for k in range(5)])
    different = [(300 * k, Key(name, False)) for k, name in enumerate("abcde")]
    assert Gesture.ABORT not in read(*different)


def test_a_held_key_aborts():
    repeats = [(0, OTHER), *((500 + 33 * k, OTHER) for k in range(30))]
    assert read(*repeats).count(Gesture.ABORT) >= 1


@pytest.fixture
def terminal():
    ours, theirs = pty.openpty()
    yield ours, theirs
    for descriptor in (ours, theirs):
        try:
            os.close(descriptor)
        except OSError:
            continue


def test_the_terminal_is_raw_within_the_block_and_as_before_after_it(terminal):
    ours, theirs = terminal
    before = termios.tcgetattr(theirs)
    with TerminalKeyboard(theirs) as keyboard:
        assert not termios.tcgetattr(theirs)[3] & (termios.ECHO | termios.ICANON | termios.ISIG)
        os.write(ours, b"\x03 ")
        assert [key.name for key in keyboard.read(1)] == ["03", "space"]
    assert termios.tcgetattr(theirs) == before


def test_a_key_that_comes_in_two_parts_is_one_key(terminal):
    ours, theirs = terminal
    with TerminalKeyboard(theirs) as keyboard:
        os.write(ours, b"\x1b")
        os.write(ours, b"[C")
        assert [key.name for key in keyboard.read(1)] == ["right"]


def test_a_terminal_that_goes_away_is_noticed(terminal):
    ours, theirs = terminal
    with TerminalKeyboard(theirs) as keyboard:
        os.close(ours)
        assert keyboard.read(1) == []
        assert keyboard.gone
        assert keyboard.read(0.01) == []


def test_what_is_no_terminal_has_no_keys(tmp_path):
    file = (tmp_path / "keys").open("w+")
    with file, TerminalKeyboard(file.fileno()) as keyboard:
        assert keyboard.gone


@pytest.mark.parametrize("sent", [b"\x1b", b"x" * 1_000 + b"\x1b[", b"\x1b" * 300])
def test_a_key_that_is_held_makes_no_read_longer(terminal, sent):
    """A held Escape looks each time as if more of one key may come; so does any flood."""
    ours, theirs = terminal
    held = threading.Event()

    def hold() -> None:
        while not held.wait(0.005):
            os.write(ours, sent)

    holding = threading.Thread(target=hold)
    with TerminalKeyboard(theirs) as keyboard:
        holding.start()
        began = time.monotonic()
        read = [keyboard.read(1) for _ in range(10)]
        took_s = time.monotonic() - began
        held.set()
        termios.tcflush(theirs, termios.TCIFLUSH)
        holding.join()
    assert all(read)
    assert took_s < 2, "ten of 20 ms each, on a machine that is busy"


class Console:
    """A Windows console whose keys are codes; the second of two is there with the first.

    As the C runtime documents `_getwch` and `_kbhit`: a key that is no letter gives the prefix 0 or
    0xE0, and its own code with the next call, which is then ready. Asked for what is not there it
    would wait for ever.
    """

    def __init__(self, *codes: str) -> None:
        self._codes = list(codes)

    def kbhit(self) -> bool:
        return bool(self._codes)

    def getwch(self) -> str:
        assert self._codes, "it waits for ever"
        return self._codes.pop(0)


@pytest.fixture
def console(monkeypatch):
    def at(*codes: str) -> WindowsKeyboard:
        monkeypatch.setitem(sys.modules, "msvcrt", Console(*codes))
        monkeypatch.setattr(os, "isatty", lambda _: True)
        return WindowsKeyboard()

    return at


@pytest.mark.parametrize("codes", ["\xe0", "\x00", "x", "\x03", "\xe0H"])
def test_a_letter_that_begins_as_other_keys_do_waits_for_nothing_on_windows(console, codes):
    (key,) = console(*codes).read(0.01)
    assert not key.goes_on
    assert key.name


@pytest.mark.parametrize("codes", [" ", "\r", "\xe0M", "\x00M", "\xe0Q", "\x00Q"])
def test_these_keys_go_on_on_windows(console, codes):
    (key,) = console(*codes).read(0.01)
    assert key.goes_on


def test_a_flood_on_windows_is_read_in_parts(console):
    keyboard = console(*"x" * 300)
    assert [len(keyboard.read(0.01)) for _ in range(3)] == [256, 44, 0]


def test_without_a_console_there_are_no_keys_on_windows(console, monkeypatch):
    keyboard = console("x")
    monkeypatch.setattr(os, "isatty", lambda _: False)
    assert WindowsKeyboard().gone
    assert not keyboard.gone
    keyboard.gone = True
    assert keyboard.read(0.01) == []


def test_a_rest_is_time_in_which_keys_were_asked_for():
    gestures = Gestures()
    gestures.read(OTHER, 0)
    gestures.rest(700)
    gestures.read(OTHER, 1_000)
    assert gestures.began_ms == 1_000
    gestures.rest(50)
    gestures.read(OTHER, 9_000)
    assert gestures.began_ms == 1_000, "eight seconds in which nobody asked are no rest"
