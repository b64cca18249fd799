"""Asking for a goal: the parameters that serve it best among all that hold, and how sure that is.

measures    numbers that a goal or a limit may speak of
demands     goals, limits, checks that must pass: what they make of the facts of a candidate
goal_file   reading FILE.toml: a family file with [goal] and [hold]
setup       what travels to worker processes
cut_values  what a piece takes to cut and to buy: proven least values, and a layout
evaluation  works one stage of some candidates out; runs in a worker process, or in this one
grid        the candidates: numbers, values, neighbours
facts       what is known of a candidate so far
known       has stages worked out, keeps them in memory and on disk
monotone    which parameters weaken a piece, tested on all that was worked out
narrowing   which candidates to try early
best_first  the search of a whole grid, with proof
descent     coordinate descent with restarts, where a grid is too large
bound       the least value of a goal over a grid that is too large to look at
conflict    a smallest set of limits that can not hold together
answer      what binds, the nearest that fails, what one step more would save
trade_off   the curve between two goals
search      a goal file as one search: grid, demands, which way it is searched
report_paths  finds a number of the report by its path
params_file, answer_json, chart, files   what is written
run         what `furnigen solve` does
"""
