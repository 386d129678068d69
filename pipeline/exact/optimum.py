"""The best plan: least lateness, then fewest firings, then the earliest finish, one after the other; in large lots."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from ortools.sat.python import cp_model

from pipeline.exact.flow import Sum
from pipeline.exact.model import Exact, finish, firings, lateness, longest_day, lots


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
    a few seconds each and no clock: the same job gets the same plan. What an aim does not need the next one gets.
    """
    late = _least(exact, lateness(exact), efforts[0])
    if late is None:
        return None
    fired = _least(exact, firings(exact), sum(efforts[:2]) - late.spent)
    if fired is None:
        return None
    done = _least(exact, finish(exact, _last_day(exact, fired.values)), sum(efforts) - late.spent - fired.spent)
    if done is None:
        return None
    return Optimum(exact, late.found(exact.studio.scale), fired.found(), done.found(), done.values)


def _last_day(exact: Exact, values: list[int]) -> int:
    """The day of a plan on which its last piece is done."""
    last = 0
    for channels in exact.flow.channels.values():
        for channel in channels:
            before = 0
            for day, entered in channel.entered.items():
                if values[entered.index] > before:
                    before, last = values[entered.index], max(last, channel.done[day])
    return last


def easier(best: Optimum, efforts: Sequence[float]) -> Optimum:
    """A plan as good in all three aims, cut into as few lots, and then with its days as level, as the efforts go."""
    exact, values = best.exact, best.values
    few = _least(exact, lots(exact, values), efforts[0])
    if few is None:
        return best
    level = _least(exact, longest_day(exact), sum(efforts) - few.spent)
    return replace(best, values=(level or few).values)


@dataclass(frozen=True)
class _Solved:
    """The least value of an aim found, the bound under it, its plan, and the effort spent."""

    value: int
    bound: int
    values: list[int]
    spent: float

    def found(self, scale: int = 1) -> Found:
        return Found(Fraction(self.value, scale), Fraction(self.bound, scale))


def _least(exact: Exact, aim: Sum, effort: float) -> _Solved | None:
    """The least value of an aim, or as near as the effort goes; None if no plan was found.

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
    answer = solver.response_proto
    values = list(answer.solution)
    # Hints add up until they are cleared, and no variable may have two.
    exact.model.clear_hints()  # type: ignore[no-untyped-call]  # OR-Tools leaves this one function untyped
    for index, known in enumerate(values):
        exact.model.add_hint(exact.model.get_int_var_from_proto_index(index), known)
    return _Solved(value, bound, values, min(effort, answer.deterministic_time))
