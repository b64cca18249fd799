"""Families: many variants of one recipe, made by worker processes, kept as they are finished.

expression  arithmetic in a family file: data, never code
axes        the values one parameter, or one table of linked rows, runs through
familyfile  reading FILE.toml
variants    which variants there are, their names and values, without making a list of them
task        what travels between processes: plain data
making      variants: piece, checks, report, files; what needs no solid, some at a time
bench       a worker process, seen from both ends
pile        what is left to make, handed out in runs that share parts
pool        the crew of workers of this machine: limits, deaths, replacements
cluster     the same over Dask, on several machines
engine      one way to ask any of them
columns     a report as one row of numbers
folder      what is on disk: lock, manifest, rows as they are finished
table       family.csv and family.parquet
run         the whole of `furnigen family`
"""
