"""The page of a piece: one HTML file with the piece in 3D, its checks and its lists, which needs no network.

`job_page` puts it together; `sections` writes the lists, `scene_data` what the 3D view knows, `src` is the
script of the view, which `bundle` packs together with three.js. `look.css` is the look of all pages.
"""
