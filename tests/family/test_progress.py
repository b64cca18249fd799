"""What a person is told while a family is made: how many, how fast, how long still."""

import pytest

from furnigen.cli.family import progress
from furnigen.family.run import Tally, summary


def test_rate_and_time_left_follow_the_last_seconds():
    tally = Tally(total=1000, before=100)
    for n in range(1, 101):
        tally.count(n * 1.0)  # one a second
    for n in range(1, 401):
        tally.count(100 + n * 0.1)  # then ten a second, for forty seconds
    assert tally.rate == pytest.approx(10.0, rel=0.02)
    assert tally.left == 400
    assert tally.seconds_left == pytest.approx(40.0, rel=0.02)
    assert progress(tally) == "600 of 1000 variants, 10.0 a second, 0:40 left"


def test_slow_ones_and_bad_ones_are_told_too():
    tally = Tally(total=10)
    assert progress(tally) == "0 of 10 variants"
    tally.statuses.update(["pass", "fail", "refused", "warn"])
    tally.count(4.0)
    tally.count(8.0)
    assert progress(tally) == "2 of 10 variants, one in 4.0 s, 0:32 left, 2 do not pass"
    assert not tally.good


def test_summary_names_every_ending():
    tally = Tally(total=5)
    tally.statuses.update(["pass", "pass", "warn", "fail", "stopped"])
    tally.skipped["fits the wall"] = 7
    assert summary(tally) == (
        "5 variants: 2 pass, 1 pass with a warning, 1 fail a check, 1 stopped, 7 left out by 'fits the wall'."
    )
