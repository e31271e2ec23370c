"""Every estimator that rests on lives, and the laws it keeps."""

from __future__ import annotations

from validation.laws import numbers
from validation.laws.said import Estimator

ALWAYS = frozenset({"drives", "cut", "unit", "twice"})
ESTIMATORS = (
    Estimator(
        "Rate with exact limits",
        numbers.rate,
        ALWAYS | {"groups", "later"},
        "test_poisson.py::test_tails_are_those_of_scipy",
        "statsmodels, scipy, R",
    ),
    Estimator(
        "Limits of the running comparison",
        numbers.running,
        frozenset({"drives", "groups", "cut", "unit", "later"}),
        "comparer/test_running.py::test_the_limits_are_where_a_plain_scan_of_rates_first_finds_less_evidence",
        "scipy",
    ),
    Estimator(
        "Best and worst case of vanished drives",
        numbers.vanished,
        ALWAYS | {"groups", "later"},
        "comparer/test_vanished.py::test_the_tipping_point_is_the_first_that_changes_the_verdict",
        "statsmodels",
    ),
    Estimator(
        "Rate by band of age",
        numbers.hazard_by_age,
        ALWAYS | {"groups"},
        "survival/test_hazard.py::test_bands_hold_what_each_life_has_in_them",
        "statsmodels",
    ),
    Estimator(
        "Survival (Kaplan-Meier)",
        numbers.survival,
        ALWAYS | {"groups", "later"},
        "survival/test_kaplan_meier.py::test_it_is_what_the_definition_gives_life_by_life",
        "lifelines, R, NIST, books",
    ),
    Estimator(
        "Survival from where it can be trusted",
        numbers.survival_from_its_start,
        frozenset({"drives", "groups", "cut", "unit", "later"}),
        "survival/test_start.py::test_it_is_where_a_walk_through_the_days_finds_it",
        "-",
    ),
    Estimator(
        "Integrated hazard (Nelson-Aalen)",
        numbers.integrated,
        ALWAYS | {"groups", "later"},
        "survival/test_nelson_aalen.py::test_it_is_what_the_definition_gives_life_by_life",
        "lifelines, R, books",
    ),
    Estimator(
        "Shares that failed, were retired, vanished",
        numbers.incidence,
        ALWAYS | {"groups", "later"},
        "survival/test_cumulative_incidence.py::test_it_is_what_the_definition_gives_life_by_life",
        "lifelines, R",
    ),
    Estimator(
        "Weibull life",
        numbers.weibull_fit,
        ALWAYS | {"groups"},
        "survival/test_weibull.py::test_fit_and_limits_are_those_of_a_search_life_by_life",
        "lifelines, R, NIST, books",
    ),
    Estimator(
        "Log-rank test",
        numbers.log_rank,
        ALWAYS | {"groups", "later"},
        "survival/test_logrank.py::test_it_is_what_the_definition_gives_life_by_life",
        "statsmodels, a book",
    ),
    Estimator(
        "Spread between groups",
        numbers.spread,
        ALWAYS | {"groups", "later"},
        "comparer/test_batches.py::test_the_p_value_is_the_exact_multinomial_one",
        "scipy, statsmodels",
    ),
    Estimator(
        "Ratio of two rates",
        numbers.ratio,
        ALWAYS | {"later"},
        "comparer/test_ratios.py::test_limits_are_those_of_the_binomial_share",
        "scipy, statsmodels, R",
    ),
    Estimator(
        "Ratio at like ages",
        numbers.ratio_at_like_ages,
        ALWAYS,
        "comparer/test_ratios.py::test_by_age_is_the_mantel_haenszel_sum",
        "closed form",
    ),
    Estimator(
        "Rate at a standard mix of ages",
        numbers.standardised,
        ALWAYS | {"groups"},
        "comparer/test_standardised.py::test_limits_are_those_of_two_gamma_distributions",
        "a published example",
    ),
    Estimator(
        "Shrunk rates",
        numbers.shrunk,
        frozenset({"drives", "groups", "cut", "unit", "later"}),
        "comparer/test_shrinkage.py::test_mean_and_limits_are_those_of_the_integrals",
        "scipy",
    ),
    Estimator(
        "Hazard ratio of a state (Cox)",
        numbers.hazard_ratio,
        frozenset({"drives", "cut", "unit", "later"}),
        "signals/test_cox.py::test_agrees_with_lifelines_on_spells_with_ties_and_late_entry",
        "lifelines, R",
    ),
    Estimator(
        "Poisson regression",
        numbers.regression,
        ALWAYS,
        "test_regression.py::test_agrees_with_statsmodels",
        "statsmodels, R, a book",
    ),
)
