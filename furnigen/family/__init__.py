"""Families: many variants of one recipe, made by worker processes, kept as they are finished.

expression  arithmetic in a family file: data, never code
axes        the values one parameter, or one table of linked rows, runs through
family_file reading FILE.toml
variants    which variants there are, their names and values, without making a list of them
task        what travels between processes: plain data
making      makes variants: piece, checks, report, files; several at once where no solid is needed
worker      a worker process: its own loop, and the handle its parent has on it
task_queue  tasks left, handed out in runs that share parts
pool        the worker processes of this machine: limits, crashes, replacements
cluster     the same over Dask, on several machines
engine      one interface to making here, by the pool, or by the cluster
columns     a report as one row of numbers
folder      what is on disk: lock, manifest, rows as they are finished
table       family.csv and family.parquet
contact_sheet, sheet_columns, page/  family.html: its data, and its template, style and script
run         what `furnigen family` does
"""
