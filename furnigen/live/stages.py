"""What a worker works out of a piece: at once, with patience, as files, and beside another."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from furnigen.catalogue.stock import own_stock
from furnigen.core.errors import FurnigenError
from furnigen.core.finding import STATUSES, Finding, any_failed
from furnigen.core.progress import Sink
from furnigen.cutting.own_stock import Shop
from furnigen.cutting.stock_file import shop_in
from furnigen.formats.glb import glb_bytes
from furnigen.formats.hardware_list import placed_rows
from furnigen.live.form import RANGED, Json, form_of, read_typed, refused
from furnigen.live.job import COMPARE, DESCRIBED, MAKE, QUICK, SLOW, STRONG, Job, Said
from furnigen.live.versions import file_tables
from furnigen.page import sections
from furnigen.page.markup import lamps, length
from furnigen.page.scene_data import scene_data
from furnigen.pipeline.build import built_with_remedies
from furnigen.pipeline.built import Built
from furnigen.pipeline.options import ALL_GROUPS, MakeOptions
from furnigen.pipeline.part_cache import PartCache
from furnigen.pipeline.request import Asked, Request, base_values, request_of, requested
from furnigen.recipes.discovery import load_file
from furnigen.recipes.recipe import Recipe

Say = Callable[[Said], None]

AT_ONCE = ("fit", "solid")
"""Groups of checks made at every change; all others follow."""
PICTURE_PX = (960, 720)


class Stages:
    """What was loaded and made before, and what can be worked out with it."""

    def __init__(self) -> None:
        self._recipe: Recipe | None = None
        self._edition = ""
        self._cache = PartCache()
        self._form: Json | None = None
        self._shop = Shop()

    def do(self, job: Job, say: Say, on_step: Sink) -> None:
        """Work a job out, saying what is found.

        Args:
            on_step: is told what is being done, and may raise what ends the job.
        """
        self._form = None if self._edition != job.edition else self._form
        works = {
            QUICK: self._quick,
            STRONG: self._strong,
            SLOW: self._slow,
            MAKE: self._make,
            COMPARE: self._compare,
        }
        units = job.asked.units or "mm"
        try:
            self._shop = shop_in(job.shop)
            with own_stock(self._shop.own):
                works[job.kind](job, partial(_tell, job.number, say), on_step)
        except FurnigenError as error:
            say(Said(job.number, "refused", refused(error, self._recipe, units)))

    def _loaded(self, job: Job) -> Recipe:
        """The recipe as its file is now."""
        if self._recipe is None or self._edition != job.edition:
            self._edition = ""  # a file that fails is tried again
            self._recipe = load_file(Path(job.recipe_file), anew=True)
            self._edition = job.edition
        return self._recipe

    def _quick(self, job: Job, tell: Callable[..., None], on_step: Sink) -> None:
        recipe, asked = self._loaded(job), job.asked
        file = asked.file()
        base, units = base_values(recipe, asked, file)
        form = form_of(recipe, base, units, self._shop.own)
        if form != self._form:
            self._form = form
            tell("form", form)
        known = {name: text for name, text in asked.values.items() if name in base}
        values, wrong = read_typed(recipe, base, known, units)
        if wrong:
            tell("refused", {"fields": wrong, "message": ""})
            return
        try:
            request = request_of(recipe, values, asked, file, units)
        except FurnigenError as error:
            tell("refused", refused(error, recipe, units))
            return
        tell(DESCRIBED)
        built = self._built(request)
        found = built.findings_of(AT_ONCE)
        report = built.report_of(AT_ONCE)
        piece = _shown(report, found, placed_rows(request.piece), units) | {
            "scene": scene_data(report, built.meshes.walls, units, ""),
            "plain": file_tables(request.piece, file, asked),
            "at": {p.name: values[p.name] for p in recipe.parameters if p.kind in RANGED},
            "changed": {name: text for name, text in known.items() if values[name] != base[name]},
        }
        tell("piece", piece, {"model": glb_bytes(built.meshes, borders=False)})

    def _built(self, request: Request, *, remedies: bool = False) -> Built:
        options = MakeOptions((), units=request.units, demands=request.demands)
        drawn = not request.piece.has_custom_forms
        advise = None
        if remedies:
            from furnigen.pipeline.adviser import adviser

            advise = adviser(request.piece, request.demands)
        return Built(request.piece, options, parts_cache=self._cache, advise=advise, light=drawn)

    def _strong(self, job: Job, tell: Callable[..., None], on_step: Sink) -> None:
        request = requested(_known(job.asked, self._loaded(job)), self._recipe)
        tell(DESCRIBED)
        built = self._built(request)
        failed = any_failed(built.findings)
        tell("strength", strength_shown(built, request.units, waits=failed) | {"failed": failed})

    def _slow(self, job: Job, tell: Callable[..., None], on_step: Sink) -> None:
        request = requested(_known(job.asked, self._loaded(job)), self._recipe)
        tell(DESCRIBED)
        built = self._built(request, remedies=job.remedies)
        if job.remedies:
            tell("strength", strength_shown(built, request.units, waits=False))
        on_step("laying out sheets")
        svg, costs, told = laid_out(request, self._shop, on_step)
        tell(
            "layouts",
            {
                "said": told,
                "cost": _total(costs),
                "known": _known_cost(costs),
                "unpriced": costs["without_price"],
            },
            {"layouts": svg},
        )
        on_step("drawing the picture")
        tell("picture", *_picture(built))

    def _make(self, job: Job, tell: Callable[..., None], on_step: Sink) -> None:
        request = requested(_known(job.asked, self._loaded(job)), self._recipe)
        tell(DESCRIBED)
        options = replace(job.options, units=request.units, demands=request.demands, shop=self._shop)

        def step(what: str) -> None:
            tell("making", {"step": what})
            on_step(what)

        built = built_with_remedies(request.piece, options, step, self._cache)
        made = built.write(job.folder)
        size = " x ".join(length(mm, request.units) for mm in request.piece.bounds.size)
        tell(
            "made",
            {
                "folder": job.folder,
                "files": list(made.files),
                "kept": [list(pair) for pair in made.kept],
                "counts": counts(made.findings),
                "size": size,
                "mass": f"{made.report['mass_kg']:.1f} kg",
                "title": request.piece.title,
            },
        )

    def _compare(self, job: Job, tell: Callable[..., None], on_step: Sink) -> None:
        from furnigen.formats.differences import cell, change, differences

        recipe = self._loaded(job)
        assert job.other is not None
        reports, units = [], "mm"
        for asked in (job.asked, job.other):
            request = requested(asked, recipe)
            tell(DESCRIBED)
            units = job.asked.units or request.units
            built = self._built(request)
            report = built.report
            on_step("laying out sheets")
            reports.append(report | {"costs": laid_out(request, self._shop, on_step)[1]})
        of_parameters = {p.name: p.unit for p in recipe.parameters}
        sides = differences(reports[0], reports[1], of_parameters)
        tell(
            "compared",
            {
                "sections": [
                    {
                        "name": name,
                        "rows": [
                            [
                                r.of,
                                r.what,
                                cell(r.a, r.unit, units),
                                cell(r.b, r.unit, units),
                                change(r, units),
                            ]
                            for r in rows
                        ],
                        "gone": sorted({r.of for r in rows if r.b is None}) if name == "parts" else [],
                        "added": sorted({r.of for r in rows if r.a is None}) if name == "parts" else [],
                    }
                    for name, rows in sides.items()
                ]
            },
        )


def _tell(
    number: int, say: Say, topic: str, value: Any = None, files: dict[str, bytes] | None = None
) -> None:
    say(Said(number, topic, value, files or {}))


def _known(asked: Asked, recipe: Recipe) -> Asked:
    """What is asked for without values of parameters that the recipe no longer has."""
    names = {p.name for p in recipe.parameters}
    return replace(asked, values={name: text for name, text in asked.values.items() if name in names})


def counts(findings: tuple[Finding, ...]) -> dict[str, int]:
    """How many findings have each status."""
    return {status: sum(f.status == status for f in findings) for status in STATUSES}


def _labels(report: Json) -> frozenset[str]:
    return frozenset(p["label"] for p in report["placements"]) | {o["label"] for o in report["openings"]}


def _shown(report: Json, found: tuple[Finding, ...], hardware: list[Json], units: str) -> Json:
    """What the page says of a piece at once."""
    lo, hi = report["bounds_mm"]["min"], report["bounds_mm"]["max"]
    return {
        "title": report["title"],
        "size": [length(b - a, units) for a, b in zip(lo, hi, strict=True)],
        "mass": f"{report['mass_kg']:.1f} kg",
        "parts": sum(p["quantity"] for p in report["parts"]),
        "different": len(report["parts"]),
        "lamps": lamps(counts(found)),
        "html": {
            "checks": sections.checks(found, _labels(report), units),
            "sizes": sections.sizes(report, units),
            "parts": sections.parts(report, units),
            "hardware": sections.hardware({"hardware": hardware}),
        },
    }


def strength_shown(built: Built, units: str, *, waits: bool) -> Json:
    """What follows: strength, standing, construction; and what the scene then knows of each part.

    Args:
        waits: whether remedies are still being looked for.
    """
    at_once = set(built.findings_of(AT_ONCE))
    later = tuple(f for f in built.findings if f not in at_once)
    report = built.report_of(ALL_GROUPS)
    return {
        "lamps": lamps(counts(built.findings)),
        "waits": "looking for remedies" if waits else "",
        "html": {
            "strength": sections.carried(report) + sections.checks(later, _labels(report), units),
            "assembly": sections.assembly(report),
        },
        "scene": scene_data(report, built.meshes.walls, units, ""),
    }


def laid_out(request: Request, shop: Shop, on_step: Sink) -> tuple[bytes, Json, list[str]]:
    """Sheets and bars of a piece as one SVG, what they cost, and what is proven of each stock."""
    from furnigen.cutting.costing import costs_of
    from furnigen.cutting.cut_rows import Order, cut_rows
    from furnigen.cutting.cutting_json import cutting_report
    from furnigen.cutting.effort import Effort
    from furnigen.cutting.plan import lay_out
    from furnigen.cutting.plan_pages import sheet_pages
    from furnigen.paper.svg import stacked_svg

    orders = [Order(request.piece)]
    rows = cut_rows(orders, shop, request.units)
    effort = Effort(progress=lambda share, line: on_step(line))
    plan = lay_out(request.piece.title, orders, rows, shop, effort, on_step)
    costs = costs_of(plan)
    on_step("drawing the layouts")
    svg = stacked_svg(sheet_pages(plan, costs, None, request.units))
    said = [f"{done.job.name}: {done.verdict}" for done in plan.jobs]
    return svg, cutting_report(plan, costs, None, request.units)["costs"], said


def _total(costs: Json) -> str:
    """What all of it costs; "" where something has no price."""
    return "" if costs["total"] is None else f"{costs['total']:,.2f} {costs['currency']}".strip()


def _known_cost(costs: Json) -> str:
    """What all that has a price costs; "" where nothing has one."""
    known = [line["cost"] for line in costs["lines"] if line["cost"] is not None]
    return f"{sum(known):,.2f} {costs['currency']}".strip() if known else ""


def _picture(built: Built) -> tuple[Json, dict[str, bytes]]:
    from furnigen.picture.picture import PictureError, picture_png

    width, height = PICTURE_PX
    try:
        return {"why": ""}, {"picture": picture_png(built.meshes, width=width, height=height)}
    except PictureError as error:
        return {"why": str(error)}, {}
