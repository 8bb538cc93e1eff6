"""Data that ships with the program: chambers, species, icons, help.

A package, so that the files are found the same way in an editable install, in a wheel and in a
zipped application: through :func:`importlib.resources.files`.
"""
