"""A thread that asks to go first: what it asks for, and that a refusal costs nothing."""

import os
import threading

import pytest

from darktimer.output import precedence

linux_only = pytest.mark.skipif(not hasattr(os, "sched_setscheduler"), reason="Linux's own calls")


def _refuse(*_: object) -> None:
    raise PermissionError


@linux_only
def test_only_the_thread_that_asks_goes_first() -> None:
    before, found = os.sched_getscheduler(0), []

    def ask() -> None:
        precedence.take_precedence()
        found.append(os.sched_getscheduler(0) & ~os.SCHED_RESET_ON_FORK)

    thread = threading.Thread(target=ask)
    thread.start()
    thread.join()
    assert found[0] in (os.SCHED_RR, before), "or it is not allowed here"
    assert os.sched_getscheduler(0) == before


@linux_only
def test_where_it_is_not_allowed_the_next_best_is_asked_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked: list[tuple[int, ...]] = []
    monkeypatch.setattr(os, "sched_setscheduler", _refuse)
    monkeypatch.setattr(os, "setpriority", lambda *words: asked.append(words))
    precedence.take_precedence()
    assert asked == [(os.PRIO_PROCESS, threading.get_native_id(), -11)]
    monkeypatch.setattr(os, "setpriority", _refuse)
    precedence.take_precedence()
