"""Every speed and memory target holds."""

import pytest
from targets import TARGETS, Target

pytestmark = pytest.mark.benchmark


@pytest.mark.parametrize("target", TARGETS, ids=lambda t: t.name)
def test_target_is_met(target: Target, tmp_path) -> None:
    value = target.measure(tmp_path)
    assert target.met(value), f"{target.name}: {value:.2f}, target {target.bound}"
