"""Hingeline counts, sizes and stages bivalve larvae and carries the number on."""

__version__ = "0.1.0"
