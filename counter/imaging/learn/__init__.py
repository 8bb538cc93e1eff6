"""Training of the finder's network: drawn patches with wide chance, targets, network, schedule.

Nothing in here is needed to count. The drawing runs without torch; networks, losses, the store of
patches and the trainings need it, which the extra ``[train]`` installs.
"""
