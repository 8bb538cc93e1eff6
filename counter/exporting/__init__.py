"""Values out of the program: JSON, CSV, figures."""
