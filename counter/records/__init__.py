"""The log book: the only place with SQL."""
