"""Training of the finder's network: drawn patches with wide chance, targets, network, schedule.

Nothing in here is needed to count. Only :mod:`network` and :mod:`train` import torch, which the
extra ``[train]`` installs.
"""
