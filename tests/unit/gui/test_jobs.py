"""Work in the background: results in the owner's thread, cancelled, overtaken."""

from __future__ import annotations

import threading

from pytestqt.qtbot import QtBot

from counter.domain.progress import Progress
from counter.errors import Cancelled, CounterError
from counter.gui.jobs import Jobs


def test_results_and_reports_arrive_in_the_thread_that_asked(qtbot: QtBot) -> None:
    """The work runs elsewhere; its callbacks run here, reports before the result."""
    jobs = Jobs()
    here = threading.get_ident()
    heard: list[object] = []

    def work(progress: Progress) -> int:
        progress.report(0.5, "half way")
        return threading.get_ident()

    jobs.start(
        work,
        lambda there: heard.append((there != here, threading.get_ident() == here)),
        lambda error: heard.append(error),
        lambda share, what: heard.append((share, what, threading.get_ident() == here)),
    )
    qtbot.waitUntil(lambda: jobs.under_way == 0, timeout=5000)
    assert heard == [(0.5, "half way", True), (True, True)]


def test_an_error_of_the_world_is_handed_over(qtbot: QtBot) -> None:
    """A CounterError arrives as such, once."""
    jobs = Jobs()
    heard: list[CounterError] = []

    def work(progress: Progress) -> None:
        del progress
        raise CounterError("no such picture")

    jobs.start(work, lambda _: None, heard.append)
    qtbot.waitUntil(lambda: jobs.under_way == 0, timeout=5000)
    assert [str(error) for error in heard] == ["no such picture"]


def test_cancelled_work_stops_at_its_next_report(qtbot: QtBot) -> None:
    """The one who waits is told that it was stopped."""
    jobs = Jobs()
    begun = threading.Event()
    heard: list[CounterError] = []

    def work(progress: Progress) -> None:
        begun.set()
        while True:
            progress.report(0.1, "going on")

    ticket = jobs.start(work, lambda _: None, heard.append)
    assert begun.wait(5)
    ticket.cancel()
    qtbot.waitUntil(lambda: bool(heard), timeout=5000)
    assert isinstance(heard[0], Cancelled)


def test_a_newer_job_of_the_same_name_overtakes_the_older(qtbot: QtBot) -> None:
    """Only the newer one's result arrives, whichever ends first."""
    jobs = Jobs()
    let_go = threading.Event()
    heard: list[str] = []

    def slow(progress: Progress) -> str:
        del progress
        let_go.wait(5)
        return "old"

    jobs.start(slow, heard.append, lambda _: heard.append("failed"), name="picture")
    jobs.start(lambda _: "new", heard.append, lambda _: heard.append("failed"), name="picture")
    qtbot.waitUntil(lambda: heard == ["new"], timeout=5000)
    let_go.set()
    qtbot.waitUntil(lambda: jobs.under_way == 0, timeout=5000)
    assert heard == ["new"]


def test_stopping_ends_everything_without_a_word(qtbot: QtBot) -> None:
    """After stop nothing calls back, and the threads are gone."""
    jobs = Jobs()
    heard: list[object] = []

    def work(progress: Progress) -> None:
        while True:
            progress.report(0.1)

    for _ in range(4):
        jobs.start(work, heard.append, heard.append)
    assert jobs.stop()
    qtbot.wait(20)
    assert heard == []
