"""The one object that an interface talks to: sample, ledger and store together; no Qt."""

from counter.session.session import HistoryLine, Session, open_latest

__all__ = ["HistoryLine", "Session", "open_latest"]
