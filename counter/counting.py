"""From picture files to a counted sample."""
