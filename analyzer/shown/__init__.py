"""The result file, the report, the chart."""
