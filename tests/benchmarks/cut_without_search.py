"""Cut list, cost and SVG of the 50-part bookcase from layouts found before: all but the search.

`FOLDER prepare` runs the search and keeps its layouts; `FOLDER` makes the rest from them.
"""

from __future__ import annotations

import pickle
import sys
from pathlib import Path

from furnigen import find_recipe
from furnigen.cutting.costing import costs_of
from furnigen.cutting.cut_rows import Order, cut_rows
from furnigen.cutting.cut_table import cutlist_csv
from furnigen.cutting.flat_pack import flat_pack
from furnigen.cutting.jobs import jobs_of
from furnigen.cutting.own_stock import Shop
from furnigen.cutting.plan import Plan, labelled, lay_out
from furnigen.cutting.plan_pages import sheet_pages
from furnigen.paper.svg import stacked_svg

folder = Path(sys.argv[1])
piece = find_recipe("panel_bookcase")(bays=4, shelves=9)
orders, shop = (Order(piece),), Shop()
rows = cut_rows(orders, shop)
kept = folder / "layouts.pickle"
if "prepare" in sys.argv:
    kept.write_bytes(pickle.dumps([d.solution for d in lay_out(piece.title, orders, rows, shop).jobs]))
else:
    done, before = [], 0
    for job, solution in zip(jobs_of(rows, shop), pickle.loads(kept.read_bytes()), strict=True):
        done.append(labelled(job, solution, (), before))
        before += len(done[-1].layouts)
    plan = Plan(piece.title, orders, rows, shop, tuple(done))
    (folder / "cutlist.csv").write_bytes(cutlist_csv(rows))
    (folder / "sheets.svg").write_bytes(stacked_svg(sheet_pages(plan, costs_of(plan), flat_pack(rows), "mm")))
