"""What the load cases do: findings on shoving across the floor, and on a child who climbs.

A case that is on because nothing is said warns where it goes wrong; one that was asked for by name fails.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf

from furnigen.catalogue.loads import GRAVITY
from furnigen.checks.joint_strength import stronger
from furnigen.checks.standing import MOST_USED
from furnigen.core.finding import FAIL, PASS, WARN, Finding, name_labels, not_estimated, stable_maximum
from furnigen.strength.assess import Strength
from furnigen.strength.formulas.load_cases import LoadCase
from furnigen.strength.formulas.tip_tests import SAFE_FACTOR
from furnigen.strength.joints.check import JointResult
from furnigen.strength.members.shoving import Shoved

CAUTION = "an estimate, not certification: anchor it to the wall and keep children off it"


def _wrong(strength: Strength) -> str:
    return WARN if strength.demands.load_cases is None else FAIL


def shove_findings(strength: Strength) -> Iterator[Finding]:
    """What shoving it across the floor does to legs, uprights and joints."""
    for case in strength.cases.on:
        if case.frictions and strength.walls:
            yield Finding("shoved", PASS, 0.0, None, "", f"{case.name}: a wall holds it", _source(case))
    for one in strength.cases.shoved:
        used = one.bears.used if one.bears is not None and one.bears.used is not None else None
        if one.bears is None or used is None:
            yield Finding(
                "shoved",
                WARN if one.shove.tips_at < min(one.case.frictions) else PASS,
                one.shove.push_n,
                None,
                "N",
                f"{one.case.name}: nothing stands free below its lowest level{_pushed(one)}",
                _source(one.case),
                _lower(one),
            )
        else:
            over = used > 1
            yield Finding(
                "shoved",
                _wrong(strength) if over else WARN if one.shove.tips_at < min(one.case.frictions) else PASS,
                one.bears.value,
                one.bears.allowed,
                one.bears.unit,
                f"{one.case.name}: {one.label}: {one.bears.what}{_pushed(one)}",
                f"{one.bears.source}; short load; {_source(one.case)}",
                "lift it, or empty it before moving it; thicker or shorter legs, or stretchers between them"
                if over
                else _lower(one),
                used,
            )
        if one.unknown:
            why = "no strength of their joints against turning is known"
            where = f"{one.case.name}: {name_labels(list(one.unknown))}"
            yield not_estimated("shoved", "whether they hold", where, why, "lift it, do not shove it")
    yield from _frame_findings(strength)
    yield from _back_findings(strength)


def _most_used(known: Sequence[JointResult]) -> JointResult:
    """The joint that uses most of what it bears."""
    return stable_maximum(known, _used)


def _used(joint: JointResult) -> float:
    return min(joint.used or 0.0, MOST_USED)


def _joint_finding(
    strength: Strength, worst: JointResult, case: LoadCase, basis: str, words: str = "", title: str = ""
) -> Finding:
    """What the worst joint of a shoved piece bears. `basis` says where its force is from."""
    bears, used, joint = worst.bears[0], _used(worst), worst.loaded.joint
    return Finding(
        "shoved",
        _wrong(strength) if used > 1 else PASS,
        bears.value,
        bears.allowed,
        bears.unit,
        f"{case.name}: {joint.b} to {joint.a}: {joint.kind}, {bears.what}, under {bears.action}{words}",
        f"{basis}; {bears.source}; short load; {_source(case)}",
        f"lift it, or empty it before moving it; {stronger(worst)}" if used > 1 else "",
        used,
        title=title,
    )


def _back_findings(strength: Strength) -> Iterator[Finding]:
    """What holds a back, sheared along its edges by a shove."""
    cases = [case for case in strength.cases.on if case.frictions]
    known = [one for one in strength.cases.backs if one.known]
    if known:
        worst = _most_used(known)
        case = next(case for case in cases if case.name in worst.bears[0].action)
        basis = "push over the width of the backs, along each edge (statics)"
        yield _joint_finding(strength, worst, case, basis, title="shoved back")
    unknown: dict[str, dict[str, None]] = {}
    for one in strength.cases.backs:
        if one.unknown and not one.known:
            unknown.setdefault(one.unknown, {})[f"{one.loaded.joint.b} to {one.loaded.joint.a}"] = None
    for why, pairs in unknown.items():
        where = f"{', '.join(one.name for one in cases)}: {name_labels(list(pairs))}"
        yield not_estimated(
            "shoved", "whether what holds the back holds", where, why, "lift it, do not shove it"
        )


def _frame_findings(strength: Strength) -> Iterator[Finding]:
    """The joints of a frame that it alone holds, shoved at its top."""
    frames = [one for one in strength.cases.shoved if one.joint_moment > 0]
    if not frames:
        return
    worst = max(frames, key=lambda one: one.joint_moment)
    words = (
        f"the most loaded takes {worst.joint_moment / 1000:.1f} N m ({worst.joint}); pushed to the"
        f" {worst.side} at its top with {worst.shove.push_n:.0f} N"
    )
    known = [one for one in strength.cases.joints if one.known]
    if known:
        basis = "moment of the frame solver"
        yield _joint_finding(strength, _most_used(known), worst.case, basis, f"; {words}")
    unknown = [one for one in strength.cases.joints if one.unknown and not one.known]
    if unknown or not known:
        why = unknown[0].unknown if unknown else "nothing is known of where they meet"
        yield not_estimated(
            "shoved",
            "whether the joints of its frame hold",
            f"{worst.case.name}: {words}",
            f"{why}; the moment is that of the frame solver",
            "lift it or empty it before moving it; a back or a brace would take the push",
        )


def _pushed(one: Shoved) -> str:
    """Push and friction in words, and from which friction on it tips."""
    words = f"; pushed to the {one.side} with {one.shove.push_n:.0f} N on a floor of friction"
    words += f" {one.shove.friction:g}"
    if one.shove.tips:
        words += f", where it tips from {one.shove.tips_at:.2f} on"
    return words


def _lower(one: Shoved) -> str:
    if one.shove.tips_at < min(one.case.frictions):
        return "push it low down, or lift it: pushed at its top it tips before it slides"
    return ""


def _source(case: LoadCase) -> str:
    return f"{case.title}: {case.source.text}; {case.note}"


def child_findings(strength: Strength) -> Iterator[Finding]:
    """What its shelves bear under a child, and whether it tips."""
    for one in strength.cases.on_shelves:
        over = one.used > 1
        yield Finding(
            "child-on-shelf",
            _wrong(strength) if over else PASS,
            one.mpa,
            one.allowed_mpa,
            "N/mm2",
            f"{one.case.name}: {one.label}, {one.what} under {one.case.weight_n / GRAVITY:.1f} kg besides"
            " its load",
            f"{_source(one.case)}; short load, / 1.5; {one.source}; {CAUTION}",
            "a thicker shelf or a shorter span" if over else "",
            one.used,
        )
        if one.others:
            why = "no bending strength of its material is known"
            where = f"{one.case.name}: {name_labels(list(one.others))}"
            yield not_estimated("child-on-shelf", "whether it breaks", where, why, CAUTION)
    yield from _joints_under_child(strength)
    if strength.walls:
        for case in strength.cases.on:
            if case.weight_n > 0:
                words = f"{case.name}: a wall holds it, whose fixings take {case.weight_n:.0f} N more"
                yield Finding("child-tips", PASS, 0.0, None, "", words, f"{_source(case)}; {CAUTION}")
        return
    if not strength.cases.climbed and strength.stability is not None:
        for case in strength.cases.on:
            if case.weight_n > 0:
                words = f"{case.name}: does not apply to a piece lower than 27 in (686 mm)"
                yield Finding("child-tips", PASS, 0.0, None, "", words, f"{_source(case)}; {CAUTION}")
    for climbed in strength.cases.climbed:
        if climbed.factor == inf:
            words = f"{climbed.case.name}: can not tip it: it stands over its feet"
            yield Finding("child-tips", PASS, 0.0, None, "", words, f"{_source(climbed.case)}; {CAUTION}")
            continue
        factor = min(climbed.factor, MOST_USED)
        wrong = _wrong(strength) if factor < 1 else WARN
        yield Finding(
            "child-tips",
            PASS if factor >= SAFE_FACTOR else wrong,
            factor,
            SAFE_FACTOR,
            "times",
            f"{climbed.case.name}: on {climbed.label}, to the {climbed.side}, under the worst part of its"
            " load",
            f"what holds it over what tips it; {_source(climbed.case)}; {CAUTION}",
            "" if factor >= SAFE_FACTOR else "anchor it to the wall at its top, or a deeper or heavier base",
            min(SAFE_FACTOR / factor if factor > 0 else MOST_USED, MOST_USED),
            least=True,
        )


def _joints_under_child(strength: Strength) -> Iterator[Finding]:
    """The joints that a child's weight comes through: the worst of each case, and those nobody can judge.

    Cases that come to the same at their worst are one finding.
    """
    worst: dict[tuple[str, str, str, float], tuple[JointResult, list[LoadCase]]] = {}
    unknown: dict[str, tuple[dict[str, None], dict[str, None]]] = {}
    for case, joints in strength.cases.under_child:
        known = [one for one in joints if one.known]
        if known:
            most = _most_used(known)
            joint = most.loaded.joint
            key = (joint.a, joint.b, most.bears[0].what, round(most.bears[0].used, 9))
            worst.setdefault(key, (most, []))[1].append(case)
        for one in joints:
            if one.unknown and not one.known:
                names, pairs = unknown.setdefault(one.unknown, ({}, {}))
                names[case.name] = None
                pairs[f"{one.loaded.joint.b} to {one.loaded.joint.a}"] = None
    for most, cases in worst.values():
        bears, used, joint = most.bears[0], _used(most), most.loaded.joint
        case = cases[0]
        yield Finding(
            "child-on-joint",
            _wrong(strength) if used > 1 else PASS,
            bears.value,
            bears.allowed,
            bears.unit,
            f"{', '.join(one.name for one in cases)}: {joint.b} to {joint.a}: {joint.kind}, {bears.what},"
            f" under {bears.action} of {case.weight_n / GRAVITY:.1f} kg",
            "all of the child over one support, and on the way down the most that may come there (statics);"
            f" {bears.source}; short load; {_source(case)}; {CAUTION}",
            f"{stronger(most)}; or keep children off it" if used > 1 else "",
            used,
        )
    for why, (names, pairs) in unknown.items():
        where = f"{', '.join(names)}: {name_labels(list(pairs))}"
        yield not_estimated("child-on-joint", "whether the joint holds", where, why, CAUTION)
