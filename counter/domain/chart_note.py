"""The note inside a PNG chart of ours, by which it is not taken for a picture of a slide."""

CHART_KEY = "Hingeline"
CHART_VALUE = "chart"
