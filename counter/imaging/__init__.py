"""Arrays in, values out: reading, finding, outlining, measuring, calibrating, drawing."""
