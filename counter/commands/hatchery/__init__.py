"""The demo hatchery: invented from end to end, drawn and counted as a real one would be."""
