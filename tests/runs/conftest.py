"""Plans the tests start from."""

import pytest

from tunekit.runs import RunPlan, starter_plan


@pytest.fixture
def time_trial() -> RunPlan:
    return starter_plan("time_trial")


@pytest.fixture
def road() -> RunPlan:
    return starter_plan("road")
