"""Poisson regression against statsmodels, and what it refuses."""

from __future__ import annotations

import numpy as np
import pytest
import statsmodels.api as sm

from reliability.errors import QuestionError
from reliability.regression import poisson_regression


@pytest.mark.parametrize("seed", range(5))
def test_agrees_with_statsmodels(seed: int) -> None:
    rng = np.random.default_rng(seed)
    exposure = rng.uniform(10, 500, 40)
    columns = {"warm": rng.normal(size=40), "lot": (rng.random(40) < 0.5).astype(float)}
    failures = rng.poisson(exposure * 0.02 * np.exp(0.4 * columns["warm"] - 0.5 * columns["lot"]))
    ours = poisson_regression(
        failures.tolist(), exposure.tolist(), {k: column.tolist() for k, column in columns.items()}
    )
    design = sm.add_constant(np.column_stack(list(columns.values())))
    theirs = sm.GLM(failures, design, sm.families.Poisson(), offset=np.log(exposure)).fit(tol=1e-12)
    assert list(ours.effects.values()) == pytest.approx(theirs.params, rel=1e-6)
    assert list(ours.standard_errors.values()) == pytest.approx(theirs.bse, rel=1e-6)
    assert (ours.deviance, ours.pearson) == pytest.approx((theirs.deviance, theirs.pearson_chi2), rel=1e-6)
    assert ours.degrees == theirs.df_resid == 37
    assert str(ours).startswith("Rate ratios: warm 1.")


def test_without_columns_it_is_one_rate() -> None:
    fit = poisson_regression([3, 5], [10.0, 30.0], {})
    assert np.exp(fit.effects["rate"]) == pytest.approx(8 / 40)
    assert str(fit) == "One rate"


def test_as_many_effects_as_rows_leave_no_dispersion() -> None:
    fit = poisson_regression([3, 5], [10.0, 30.0], {"second": [0, 1]})
    assert fit.dispersion is None
    assert fit.scaled_error("second") == fit.standard_errors["second"]


@pytest.mark.parametrize("exposure", [0.0, -1.0, float("nan"), float("inf")])
def test_a_row_without_exposure_is_refused(exposure: float) -> None:
    with pytest.raises(QuestionError, match=f"Row 2 has an exposure of {exposure}; leave out rows"):
        poisson_regression([3, 0], [10.0, exposure], {})


def test_what_has_no_best_fit_is_refused() -> None:
    with pytest.raises(QuestionError, match="No row has a failure"):
        poisson_regression([0, 0], [10.0, 5.0], {})
    with pytest.raises(QuestionError, match="The columns a, b repeat each other over 3 rows"):
        poisson_regression([1, 2, 3], [1.0, 1.0, 1.0], {"a": [0, 1, 1], "b": [0, 2, 2]})
    with pytest.raises(QuestionError, match="No finite effect is best"):
        poisson_regression([0, 4, 3], [10.0, 5.0, 6.0], {"spared": [1, 0, 0]})
