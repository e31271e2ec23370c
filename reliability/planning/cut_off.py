"""Plans that tell two MTBFs apart with given risks: one of fixed length, and a sequential one that is cut off."""

from __future__ import annotations

from reliability.errors import QuestionError
from reliability.planning.fixed_length import FixedPlan
from reliability.planning.least_count import least_count
from reliability.planning.sequential import SequentialPlan
from reliability.planning.wald import wald_lines
from reliability.poisson import chance_of_at_most, upper_limit

LEAST_RATIO = 1.25  # nearer together, a plan takes hundreds of failures
CLOSENESS = 1.1  # a risk is kept if it is at most so many times what was asked for
LATEST = 3  # times the failures of the plan of fixed length, after which a sequential one is always cut off


def fixed_plan(ratio: float, producers_risk: float = 0.1, consumers_risk: float = 0.1) -> FixedPlan:
    """The shortest test of fixed length that keeps both risks.

    ratio           higher MTBF over the lower one, 1.25 or more
    producers_risk  that drives of the higher MTBF are refused
    consumers_risk  that drives of the lower MTBF are accepted
    returns         a plan in multiples of the lower MTBF; its consumer's risk is just the one asked for

    >>> plan = fixed_plan(2)
    >>> plan.at_most, round(plan.length, 2), round(plan.chance_to_refuse(2), 3)
    (14, 20.13, 0.087)
    """
    _check(ratio, producers_risk, consumers_risk)

    def keeps(at_most: int) -> bool:
        length = upper_limit(at_most, 1 - consumers_risk)
        return chance_of_at_most(at_most, length / ratio) >= 1 - producers_risk

    at_most = least_count(keeps)
    return FixedPlan(upper_limit(at_most, 1 - consumers_risk), at_most)


def sequential_plan(ratio: float, producers_risk: float = 0.1, consumers_risk: float = 0.1) -> SequentialPlan:
    """Wald's lines, cut off as early as the exact risks allow; arguments as above.

    Cut off at r failures and at the time that lies for r failures in the middle between the lines; r is the
    least one from the plan of fixed length on for which both exact risks are within a tenth of those asked for,
    and at most three times that of the plan of fixed length. What the risks are then is to be read from the plan
    itself: Wald's lines keep them only nearly.

    >>> plan = sequential_plan(2)
    >>> plan.last_failure, f"{plan.operating(1).accepted:.3f} {plan.operating(2).refused:.3f}"
    (19, '0.109 0.096')
    """
    fixed = fixed_plan(ratio, producers_risk, consumers_risk)
    lines = wald_lines(ratio, producers_risk, consumers_risk)
    first, latest = fixed.at_most + 1, LATEST * (fixed.at_most + 1)

    def cut_at(last_failure: int) -> SequentialPlan:
        return SequentialPlan(lines, last_failure, lines.slope * last_failure)

    def keeps(last_failure: int) -> bool:
        plan = cut_at(last_failure)
        accepted, refused = plan.operating(1).accepted, plan.operating(ratio).refused
        return accepted <= CLOSENESS * consumers_risk and refused <= CLOSENESS * producers_risk

    return cut_at(least_count(lambda failures: failures >= latest or keeps(failures), start=first))


def _check(ratio: float, producers_risk: float, consumers_risk: float) -> None:
    wald_lines(ratio, producers_risk, consumers_risk)  # refuses what is no test at all
    if ratio < LEAST_RATIO:
        raise QuestionError(
            f"A ratio of {ratio:g} takes hundreds of failures to tell two rates apart; give {LEAST_RATIO} or more."
        )
