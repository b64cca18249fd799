"""Bounds by dual feasible functions: sizes made larger or smaller so that what fits a sheet still fits.

A function f from 0..C to 0..f(C) is dual feasible when any sizes that add up to at most C have images that
add up to at most f(C). With one such function for each direction, the products f(w) g(h) of all parts on a
sheet add up to at most f(C) g(D), so that many sheets at least are needed. All in whole numbers.

Source: Fekete and Schepers, "New classes of fast lower bounds for bin packing problems", Mathematical
Programming 91 (2001); Carlier, Clautiaux and Moukrim, "New reduction procedures and lower bounds for the
two-dimensional bin packing problem with fixed orientation", Computers & Operations Research 34 (2007).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Whole = NDArray[np.int64]


def thresholds(sizes: Whole, whole: int, most: int) -> Whole:
    """Parameters worth trying: sizes up to half the whole, what is left beside larger ones, a selection if
    many."""
    half = np.unique(np.concatenate([sizes[2 * sizes <= whole], (whole - sizes)[2 * sizes > whole]]))
    half = half[(half > 0) & (2 * half <= whole)]
    if len(half) > most:
        half = half[np.linspace(0, len(half) - 1, most).astype(int)]
    return half


def images(sizes: Whole, quantities: Whole, whole: int, most: int = 60) -> tuple[Whole, Whole]:
    """Images of sizes under many dual feasible functions.

    Args:
        sizes: shape (n,), each from 1 to `whole` (a size beyond it counts as the whole).
        quantities: shape (n,), how many there are of each.
        whole: the size they must fit.
        most: parameters tried of each family.

    Returns:
        Images, shape (functions, n), and the image of the whole, shape (functions,).
    """
    x = np.minimum(sizes, whole)
    rows, wholes = [x], [whole]
    ones = np.where(2 * x > whole, 1, 0)
    rows.append(ones)
    wholes.append(1)
    for k in thresholds(x, whole, most):
        # large sizes become the whole, small ones nothing
        rows.append(np.where(x > whole - k, whole, np.where(x < k, 0, x)))
        wholes.append(whole)
        # steps of k
        steps = whole // k
        rows.append(
            np.where(
                2 * x > whole, 2 * (steps - (whole - x) // k), np.where(2 * x == whole, steps, 2 * (x // k))
            )
        )
        wholes.append(2 * steps)
        # how many of the sizes there are (from k to half the whole) fit beside each other
        small = (x >= k) & (2 * x <= whole)
        fit = _most_that_fit(x[small], quantities[small], whole)
        beside = np.searchsorted(fit, whole - x, side="right")
        rows.append(np.where(2 * x > whole, len(fit) - beside, np.where(x < k, 0, 1)))
        wholes.append(max(1, len(fit)))
    for k in range(2, 12):
        # rounded down to multiples of 1 / k, multiples of it kept
        scaled = (k + 1) * x
        rows.append(np.where(scaled % whole == 0, x * k, (scaled // whole) * whole))
        wholes.append(whole * k)
    return np.array(rows, np.int64), np.array(wholes, np.int64)


def _most_that_fit(sizes: Whole, quantities: Whole, whole: int) -> Whole:
    """Running sums of the smallest sizes that fit the whole: as many numbers as fit."""
    if not len(sizes):
        return np.zeros(0, np.int64)
    order = np.argsort(sizes, kind="stable")
    repeated = np.repeat(sizes[order], np.minimum(quantities[order], whole // sizes[order]))
    sums = np.cumsum(repeated)
    return sums[sums <= whole]


def fewest_sheets(w: Whole, h: Whole, quantities: Whole, turnable: Whole, sheet_w: int, sheet_h: int) -> int:
    """A number of sheets below which no parts of these sizes can be laid out, guillotine or not.

    Args:
        w, h, quantities, turnable: shape (n,); turnable 1 where a part may be turned.
        sheet_w, sheet_h: size of the sheet.
    """
    n = len(w)
    if not n:
        return 0
    if not turnable.any():
        f, fw = images(w, quantities, sheet_w)
        g, gw = images(h, quantities, sheet_h)
        return _best(f, fw, g, gw, quantities)
    # a turned part counts with the smaller product; each function must then meet both sizes
    both = np.concatenate([w, h])
    twice = np.concatenate([quantities, quantities * turnable])
    f, fw = images(both, twice, sheet_w, 24)
    g, gw = images(np.concatenate([h, w]), np.concatenate([quantities, quantities * turnable]), sheet_h, 24)
    best = 0
    can = turnable.astype(bool) & (h <= sheet_w) & (w <= sheet_h)
    may = (w <= sheet_w) & (h <= sheet_h)
    for a in range(len(f)):
        as_is = f[a, :n][None, :] * g[:, :n]
        turned = f[a, n:][None, :] * g[:, n:]
        least = np.where(can & may, np.minimum(as_is, turned), np.where(may, as_is, turned))
        sums = least @ quantities
        best = max(best, int(np.max(-(-sums // (fw[a] * gw)))))
    return best


def _best(f: Whole, fw: Whole, g: Whole, gw: Whole, quantities: Whole) -> int:
    sums = (f * quantities) @ g.T
    return int(np.max(-(-sums // np.outer(fw, gw))))


def fewest_lengths(lengths: list[int], quantities: list[int], whole: int) -> int:
    """A number of bars of one length below which pieces cannot be laid out.

    >>> fewest_lengths([60, 45], [3, 2], 100)
    4
    """
    f, fw = images(np.array(lengths, np.int64), np.array(quantities, np.int64), whole)
    return int(np.max(-(-(f @ np.array(quantities, np.int64)) // fw)))
