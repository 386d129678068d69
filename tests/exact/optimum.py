"""The best plan: least lateness, then fewest firings, then the earliest finish, one after the other."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from fractions import Fraction

import polars as pl
from ortools.sat.python import cp_model

from pipeline.job import Job
from tests.exact.bats import add_bats
from tests.exact.clay import add_clay
from tests.exact.flow import Flow, Sum, add_flow
from tests.exact.hands import Hands, add_hands
from tests.exact.kilns import Loads, add_kilns
from tests.exact.studio import Studio, studio_of

EFFORT = 8.0
"""What the solver may spend on each aim, in its own deterministic measure (a few seconds each) and no clock."""


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
class Exact:
    """The model of a job."""

    model: cp_model.CpModel
    studio: Studio
    flow: Flow
    hands: Hands
    loads: Loads


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
        return flat.offset + sum(
            coefficient * self.values[variable.index]
            for coefficient, variable in zip(flat.coeffs, flat.vars, strict=True)
        )


def exact_model(job: Job, pieces: pl.DataFrame, end: dt.date) -> Exact:
    """The model of all plans of a job that end before a date, by rules 5a to 5g.

    Beyond the rules, no trick is allowed that nobody plans by: the good pieces of a stage are not those that were begun
    first, and nothing is made of clay that has not come. Where the model is not quite what the scheduler may do it is
    laxer, so that no schedule is better than its optimum:

    * a day's minutes may pass the hours by the rounding that the checker allows;
    * a line's share of the losses is rounded, and after its second stage up to a piece more in its favour; behind work
      in progress the good ones may still be the first; and what is lost leaves its bats at once;
    * clay in hand goes to whichever lines are best served by it, where the schedule gives it to them in their turn;
    * a kiln need not be filled to its least.
    """
    studio = studio_of(job, pieces, end)
    model = cp_model.CpModel()
    flow = add_flow(model, studio)
    hands = add_hands(flow)
    loads = add_kilns(flow, hands)
    hands.close(model)
    add_bats(flow)
    add_clay(flow, pieces)
    return Exact(model, studio, flow, hands, loads)


def best_plan(exact: Exact, *, effort: float = EFFORT) -> Optimum | None:
    """The optimum, or as near as the effort goes; None if no plan was found at all."""
    found: list[Found] = []
    values: list[int] = []
    scales = (exact.studio.scale, 1, 1)
    for aim, scale in zip((lateness(exact), sum(exact.loads.fired.values()), finish(exact)), scales, strict=True):
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
        found.append(Found(Fraction(value, scale), Fraction(bound, scale)))
        exact.model.add(aim <= value)
        values = list(solver.response_proto.solution)
        exact.model.clear_hints()
        for index, known in enumerate(values):
            exact.model.add_hint(exact.model.get_int_var_from_proto_index(index), known)
    return Optimum(exact, *found, values)


def lateness(exact: Exact) -> Sum:
    """Pieces x days late x weight, times ``studio.scale``: each night from its due date on counts a piece not done."""
    late: Sum = 0
    for at, line in enumerate(exact.studio.lines):
        if line.due is not None:
            last = len(line.route) - 1
            for night in range(line.due, exact.studio.end):
                late += line.weight * (line.entering[last] - exact.flow.done_by(at, last, night))
    return late


def finish(exact: Exact) -> Sum:
    """The day on which the last piece of any stage is done; 0 if nothing is to be made after the first day."""
    end = exact.studio.end
    after = [exact.model.new_bool_var(f"still at work after {day}") for day in range(end)]
    for day in range(end):
        for at, line in enumerate(exact.studio.lines):
            for place, pieces in enumerate(line.entering):
                if pieces:
                    undone = pieces - exact.flow.done_by(at, place, day)
                    exact.model.add(undone <= pieces * after[day])
        if day:
            exact.model.add_implication(after[day], after[day - 1])
    return sum(after)
