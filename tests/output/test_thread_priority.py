"""A thread that asks to go first: what it asks for, and that a refusal costs nothing."""

import os
import threading

import pytest

from darktimer.output import thread_priority

linux_only = pytest.mark.skipif(not hasattr(os, "sched_setscheduler"), reason="Linux's own calls")


def _refuse(*_: object) -> None:
    raise PermissionError


@linux_only
def test_the_thread_asks_for_the_lowest_real_time_rank_and_its_children_do_not_inherit_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked: list[tuple[int, int, int]] = []
    monkeypatch.setattr(
        os,
        "sched_setscheduler",
        lambda who, how, rank: asked.append((who, how, rank.sched_priority)),
    )
    monkeypatch.setattr(os, "setpriority", _refuse)
    thread_priority.raise_priority()
    assert asked == [(0, os.SCHED_RR | os.SCHED_RESET_ON_FORK, 1)], "0: the thread that calls"
    monkeypatch.undo()
    before = os.sched_getscheduler(0)
    thread = threading.Thread(target=thread_priority.raise_priority)
    thread.start()
    thread.join()
    assert os.sched_getscheduler(0) == before, "and no other"


@linux_only
def test_where_it_is_not_allowed_the_next_best_is_asked_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked: list[tuple[int, ...]] = []
    monkeypatch.setattr(os, "sched_setscheduler", _refuse)
    monkeypatch.setattr(os, "setpriority", lambda *words: asked.append(words))
    thread_priority.raise_priority()
    assert asked == [(os.PRIO_PROCESS, threading.get_native_id(), -11)]
    monkeypatch.setattr(os, "setpriority", _refuse)
    thread_priority.raise_priority()
