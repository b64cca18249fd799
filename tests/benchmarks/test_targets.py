"""Every speed and memory target holds."""

import pytest
from targets import TARGETS, Target

pytestmark = pytest.mark.benchmark


@pytest.mark.parametrize("target", TARGETS, ids=lambda t: t.name)
def test_target_is_met(target: Target, tmp_path) -> None:
    values = target.figures(tmp_path)
    told = ", ".join(f"{v:.4g}" for v in values)
    print(f"{target.name}: {told}, target {target.bound}")
    assert target.met(values[-1]), f"{target.name}: {told}, target {target.bound}"
