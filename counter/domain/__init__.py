"""What the hatchery talks about: standard library only, no pictures, no screens."""
