"""The chart form: values as a chart prints them, to a procedure file, its problems in words and the drawing."""
