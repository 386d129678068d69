"""The best plan: least lateness, then fewest firings, then the earliest finish, one after the other; in large lots."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from ortools.sat.python import cp_model

from pipeline.exact.flow import Sum
from pipeline.exact.model import Exact, finish, firings, lateness, lots


@dataclass(frozen=True)
class Found:
    """An aim: the best value found, and the bound below which no plan of the job can be. Proven if they are one."""

    value: Fraction
    bound: Fraction

    @property
    def proven(self) -> bool:
        """Whether no plan can be better."""
        return self.value == self.bound


@dataclass(frozen=True)
class Optimum:
    """The three aims, each with those before it held at what was found; and the plan that reaches them.

    ``lateness`` is pieces x days, weighted by priority; ``finish`` the day of the plan (0: the first) on which the
    last piece is done. ``values`` has the plan, by the place of each variable of the model. A bound of a later aim
    holds only if the aims before it are proven.
    """

    exact: Exact
    lateness: Found
    firings: Found
    finish: Found
    values: list[int]

    @property
    def proven(self) -> bool:
        """Whether all three are."""
        return self.lateness.proven and self.firings.proven and self.finish.proven

    def value(self, expression: Sum) -> int:
        """What an expression of the model comes to in the plan."""
        if isinstance(expression, int):
            return expression
        flat = cp_model.FlatIntExpr(expression)
        terms = zip(flat.coeffs, flat.vars, strict=True)
        return int(flat.offset + sum(coefficient * self.values[variable.index] for coefficient, variable in terms))


def best_plan(exact: Exact, efforts: Sequence[float]) -> Optimum | None:
    """The optimum, or as near as the efforts go; None if no plan was found at all.

    ``efforts``: what the solver may spend on lateness, firings and finish, in its own deterministic measure, which is
    a few seconds each and no clock: the same job gets the same plan.
    """
    found: list[Found] = []
    values: list[int] = []
    scales = (exact.studio.scale, 1, 1)
    for aim, scale, effort in zip((lateness, firings, finish), scales, efforts, strict=True):
        solved = _least(exact, aim(exact), effort)
        if solved is None:
            return None
        value, bound, values = solved
        found.append(Found(Fraction(value, scale), Fraction(bound, scale)))
    late, fired, done = found
    return Optimum(exact, late, fired, done, values)


def in_large_lots(best: Optimum, effort: float) -> Optimum:
    """A plan as good in all three aims, cut into as few lots as the effort goes."""
    solved = _least(best.exact, lots(best.exact, best.values), effort)
    return best if solved is None else replace(best, values=solved[2])


def _least(exact: Exact, aim: Sum, effort: float) -> tuple[int, int, list[int]] | None:
    """The least value of an aim, or as near as the effort goes, the bound under it, and its plan.

    From then on the model has no plan with more, and the solver begins from this one.
    """
    exact.model.minimize(aim)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = effort
    solver.parameters.linearization_level = 2
    status = solver.solve(exact.model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    value = round(solver.objective_value)
    bound = value if status == cp_model.OPTIMAL else round(solver.best_objective_bound)
    exact.model.add(aim <= value)
    values = list(solver.response_proto.solution)
    # Hints add up until they are cleared, and no variable may have two.
    exact.model.clear_hints()  # type: ignore[no-untyped-call]  # OR-Tools leaves this one function untyped
    for index, known in enumerate(values):
        exact.model.add_hint(exact.model.get_int_var_from_proto_index(index), known)
    return value, bound, values
