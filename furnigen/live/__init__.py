"""Live work: a recipe's piece that is made anew at every change, on a page and in a terminal.

session   what the page is about: values, undo, versions; what changes goes to runners, results to the board
runner    a process that stays warm (worker); the newest job wins, what never ends is stopped
stages    what the process works out: description, meshes, checks, picture, layouts, files
board     the newest of everything, which the page is sent
server    the page and its requests, for this machine alone (guard)
watching  files that an editor changes
"""
