"""Migrations of the records, run by :mod:`counter.records.migrating`.

To add one: copy the newest file of ``versions``, raise its number, name the one before in
``down_revision``, write ``upgrade`` (``op.batch_alter_table`` for changes of a table), change
``counter.records.schema`` to match and raise ``HEAD`` in ``counter.records.migrating``.
Released migrations are never edited. There is no way back: the copy made before is the way back.
"""
