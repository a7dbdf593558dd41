"""When it says 30 %, it is so on 30 % of bikes: bikes from its own prior, words from its own forward model."""

import numpy as np
import pytest
from calibration import Pairs, calibrated

from tunekit.bike.starters import starter


def test_the_measure_tells_honest_from_boastful() -> None:
    rng = np.random.default_rng(18)
    said = rng.uniform(0, 1, 10_000)
    true = (rng.random(10_000) < said).astype(float)
    assert Pairs(said, true).error() < 0.01
    boastful = np.clip(0.5 + 1.3 * (said - 0.5), 0.001, 0.999)
    assert Pairs(boastful, true).error() > 0.03
    assert Pairs(said, true).outside() == 0
    assert Pairs(boastful, true).outside() > 5
    rare = np.full(12_000, 0.001)
    assert Pairs(rare, (rng.random(12_000) < 0.001).astype(float)).outside() == 0
    assert Pairs(rare, (rng.random(12_000) < 0.005).astype(float)).outside() > 0
    assert Pairs(boastful, true).brier() > Pairs(said, true).brier()


def test_probabilities_are_honest_on_few_bikes() -> None:
    found = calibrated(starter("road-double-11"), 25, 0)
    # 150 predictions prove little: a gap of 0.05 in the mean is three standard errors.
    assert abs(found.said.mean() - found.true.mean()) < 0.05
    assert found.brier() < float(np.mean((found.true.mean() - found.true) ** 2)) + 0.02


@pytest.mark.slow
def test_probabilities_are_honest() -> None:
    found = calibrated(starter("road-double-11"), 2000, 1)
    assert len(found.said) >= 10_000
    print(
        f"calibration error {found.error():.4f}, Brier {found.brier():.4f}, log score {found.log_score():.4f}"
    )
    # Measured 0.0053 at 12 000 predictions.
    assert found.error() <= 0.01
    assert found.brier() <= 0.03


@pytest.mark.slow
def test_no_bin_of_probabilities_lies_outside_the_band() -> None:
    assert calibrated(starter("road-double-11"), 2000, 1).outside() == 0
