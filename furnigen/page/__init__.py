"""The page of a piece: one HTML file with the piece in 3D, its checks and its lists, which needs no network.

`job_page` puts it together; `sections` writes the lists, `insert_sections` and `plates` what other formats
drew (`inserts`), `scene_data` what the 3D view knows; `src` holds the scripts of the pages, which `bundle`
packs together with three.js. `look.css` and `markup` are the look of all pages.
"""
