"""An archive of many tracks, assessed by the workers of a dask cluster into one table.

`archive` finds the tracks and makes them jobs, `engine` has the cluster do them, `journal` keeps each track's rows as
they come, `table` is what a row holds and how the table is written, `run` is the order of all that.
"""
