"""The frame and the look of the contact sheet: paper, ink, and the colours of clay and glaze."""

from __future__ import annotations

PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>@TITLE@</title>
<style>@STYLE@</style>
</head>
<body>
<a class="skip" href="#variants">Skip to the variants</a>
<header>
<div><h1>@TITLE@</h1>@LINES@</div>
<nav id="tables" aria-label="Files of the whole family"></nav>
</header>
<main>
<section id="bar" aria-label="Filter and sort">
<div class="row">
<label class="field wide">Find <input type="search" id="find" placeholder="name or reason"></label>
<fieldset id="statuses"><legend>Outcome</legend></fieldset>
<label class="field">Sort by <select id="sort"></select></label>
<button type="button" id="turn" aria-pressed="false">low to high</button>
</div>
<div class="row" id="filters"></div>
<div class="row">
<label class="field">Filter by another column <select id="more"></select></label>
<button type="button" id="clear">Clear all</button>
<p id="count" role="status" aria-live="polite"></p>
</div>
</section>
<section id="plot" aria-label="Two columns against each other">
<div class="drawing">
<div class="row">
<label class="field">Across <select id="x"></select></label>
<label class="field"><span class="quiet">better is</span>
<select id="xbetter"><option value="1">less</option><option value="0">more</option></select></label>
<label class="field">Up <select id="y"></select></label>
<label class="field"><span class="quiet">better is</span>
<select id="ybetter"><option value="1">less</option><option value="0">more</option></select></label>
</div>
<canvas id="chart" tabindex="0" role="img" aria-describedby="frontnote"></canvas>
<ul class="key" id="key" aria-label="Colours"></ul>
</div>
<aside>
<h2>Best front</h2>
<p id="frontnote"></p>
<ol id="front"></ol>
</aside>
</section>
<section id="variants" aria-label="Variants" tabindex="-1">
<div class="row views" role="group" aria-label="View">
<button type="button" id="cards" aria-pressed="true">Sheet</button>
<button type="button" id="rows" aria-pressed="false">Table</button>
</div>
<div id="list"></div>
<button type="button" id="next" hidden>Show more</button>
</section>
</main>
<footer><p>@NOTE@</p></footer>
<noscript><p>This page needs its script to sort and draw; the table is in family.csv.</p></noscript>
<script type="application/json" id="data">@DATA@</script>
<script>@SCRIPT@</script>
</body>
</html>
"""

STYLE = """
:root{--paper:#f6f1e8;--sheet:#fffdf9;--ink:#23292b;--quiet:#5d6468;--line:#d9cfbf;--clay:#a8482f;
--glaze:#1f6a6b;--pass:#1f6a6b;--warn:#a8720c;--fail:#b3261e;--none:#6b6f73;--shade:#efe7d9}
@media (prefers-color-scheme:dark){:root{--paper:#1c1f20;--sheet:#26292a;--ink:#ece6da;--quiet:#a9aca7;
--line:#3d4041;--clay:#e08a6d;--glaze:#6cc0bd;--pass:#6cc0bd;--warn:#e0b154;--fail:#f08c80;--none:#a2a6a8;
--shade:#303435}}
*{box-sizing:border-box}
body{margin:0;background:var(--paper);color:var(--ink);font:15px/1.45 system-ui,"Segoe UI",sans-serif}
.skip{position:absolute;left:-999px}.skip:focus{left:8px;top:8px;background:var(--sheet);padding:8px;z-index:9}
header{display:flex;flex-wrap:wrap;gap:12px 32px;justify-content:space-between;align-items:end;
padding:28px clamp(16px,4vw,48px) 18px;border-bottom:3px solid var(--clay)}
h1{font:600 clamp(22px,3vw,32px)/1.15 Georgia,"Iowan Old Style",serif;margin:0 0 6px}
h2{font:600 17px/1.2 Georgia,serif;margin:0 0 6px}
header p{margin:0;color:var(--quiet)}nav a{margin-left:14px}
a{color:var(--glaze);text-underline-offset:3px}
main{padding:16px clamp(16px,4vw,48px)}
.row{display:flex;flex-wrap:wrap;gap:10px 16px;align-items:center;margin:0 0 10px}
.field{display:inline-flex;gap:8px;align-items:center;font-weight:500;max-width:100%}
.field>*{min-width:0}select{max-width:min(300px,100%);flex:0 1 auto}.wide input{min-width:220px}
.quiet{color:var(--quiet);font-weight:400}
input,select,button{font:inherit;color:inherit;background:var(--sheet);border:1px solid var(--line);
border-radius:5px;padding:5px 9px;min-height:34px;max-width:100%}
input[type=checkbox]{min-height:0;accent-color:var(--clay);width:16px;height:16px}
input[type=number]{width:104px}
button{cursor:pointer}button:hover,select:hover{border-color:var(--clay)}
button[aria-pressed=true]{background:var(--clay);border-color:var(--clay);color:var(--sheet)}
:focus-visible{outline:3px solid var(--glaze);outline-offset:2px}
fieldset{display:inline-flex;flex-wrap:wrap;gap:4px 12px;align-items:center;border:1px solid var(--line);
border-radius:5px;padding:4px 10px 6px;margin:0;background:var(--sheet);max-width:100%}
legend{font-size:12px;color:var(--quiet);padding:0 4px}
fieldset label{display:inline-flex;gap:5px;align-items:center}
fieldset .off{border:0;background:none;min-height:0;padding:0 4px;color:var(--quiet)}
#count{margin:0 0 0 auto;font-weight:600}
#plot{display:grid;grid-template-columns:minmax(0,1fr) 300px;gap:24px;margin:14px 0 22px;padding:16px;
background:var(--sheet);border:1px solid var(--line);border-radius:8px}
#plot .row{margin-bottom:6px}
canvas{display:block;width:100%;height:380px;cursor:crosshair}
aside{border-left:1px solid var(--line);padding-left:20px;max-height:450px;overflow:auto}
aside p{margin:0 0 8px;color:var(--quiet)}
ol{margin:0;padding-left:22px}ol li{margin:3px 0}ol button{border:0;background:none;padding:0;min-height:0;
text-align:left;color:var(--glaze);text-decoration:underline;text-underline-offset:3px;overflow-wrap:anywhere}
.key{list-style:none;display:flex;flex-wrap:wrap;gap:4px 16px;margin:6px 0 0;padding:0;color:var(--quiet)}
.key i{display:inline-block;width:11px;height:11px;border-radius:50%;margin-right:6px;vertical-align:-1px}
.key i.ring{background:none;border:2.5px solid var(--clay)}
.views{margin-bottom:12px}
.grid{display:grid;grid-template-columns:repeat(auto-fill,minmax(250px,1fr));gap:16px}
.card{background:var(--sheet);border:1px solid var(--line);border-top:4px solid var(--c);border-radius:6px;
overflow:hidden;display:flex;flex-direction:column}
.card.best{box-shadow:0 0 0 2px var(--clay)}
.card.at{outline:3px solid var(--glaze);outline-offset:2px}
.card img,.card .blank{display:block;width:100%;aspect-ratio:4/3;object-fit:contain;background:#fff}
.card .blank{display:grid;place-items:center;background:var(--shade);color:var(--quiet)}
.card .body{padding:10px 14px 12px;display:flex;flex-direction:column;gap:6px;flex:1}
.card h3{margin:0;font:600 15px/1.3 inherit;font-family:inherit;overflow-wrap:anywhere}
.card dl{display:grid;grid-template-columns:auto auto;justify-content:space-between;gap:1px 12px;margin:0}
dt{color:var(--quiet)}dd{margin:0;text-align:right;font-variant-numeric:tabular-nums}
.why{margin:0;color:var(--c);font-size:13.5px;overflow-wrap:anywhere}
.links{margin:auto 0 0;display:flex;flex-wrap:wrap;gap:2px 12px;font-size:13.5px}
.tag{display:inline-block;color:var(--c);font-weight:600}
.s-pass{--c:var(--pass)}.s-warn{--c:var(--warn)}.s-fail{--c:var(--fail)}
.s-refused,.s-stopped,.s-crashed{--c:var(--none)}
.scroll{overflow:auto;max-height:76vh;border:1px solid var(--line);border-radius:6px;background:var(--sheet)}
table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}
th,td{padding:6px 12px;border-bottom:1px solid var(--line);text-align:left;white-space:nowrap}
td.n,th.n{text-align:right}td.name{white-space:normal;min-width:220px;overflow-wrap:anywhere}
thead th{position:sticky;top:0;background:var(--shade);z-index:1}
thead button{border:0;background:none;padding:0;min-height:0;font-weight:600}
tr.at td{background:var(--shade)}
#next{margin:16px auto;display:block}#next[hidden]{display:none}
footer{padding:14px clamp(16px,4vw,48px) 30px;color:var(--quiet);border-top:1px solid var(--line)}
@media (max-width:900px){#plot{grid-template-columns:minmax(0,1fr)}
aside{border-left:0;border-top:1px solid var(--line);padding:12px 0 0}#count{margin-left:0}}
@media print{#bar,#next,.views{display:none}.card{break-inside:avoid}}
"""
