"""Two searches side by side: the better plan, the better bound, and no second one for nothing."""

import os
import random
import subprocess

import pytest

from tests.shop.test_stock_search import bars, check, triplets
from treenail.shop.stock import abreast
from treenail.shop.stock.abreast import better_of, solve_abreast
from treenail.shop.stock.patterns import Item, Problem, Stock
from treenail.shop.stock.search import Solution, solve


def hard() -> Problem:
    """More than a few seconds' work: boards and pieces of many sizes."""
    rng = random.Random(4)
    items = tuple(Item(rng.randint(192, 960), rng.randint(24, 96), 5) for _ in range(12))
    sizes = [(rng.randint(1152, 2112), rng.randint(76, 168)) for _ in range(25)]
    stock = tuple(Stock((((a, b),),), 1, a * b) for a, b in sizes)
    return Problem(items, stock, 2, "crosscut")


def test_a_second_search_helps_where_time_runs_out(monkeypatch: pytest.MonkeyPatch) -> None:
    heard: list[tuple[Solution, Solution | None]] = []

    def listen(a: Solution, b: Solution | None) -> Solution:
        heard.append((a, b))
        return better_of(a, b)

    monkeypatch.setattr(abreast, "PATIENCE", 0.1)
    monkeypatch.setattr(os, "cpu_count", lambda: 2)
    monkeypatch.setattr(abreast, "better_of", listen)
    found = solve_abreast(hard(), time_limit=8.0)  # the other one starts within it, even if busy
    check(hard(), found)
    ((first, second),) = heard
    assert second is not None
    assert first.stopped
    assert found.objective == min(first.objective, second.objective)
    assert found.fine_bound == max(first.fine_bound, second.fine_bound) <= found.objective


def test_what_is_soon_solved_starts_no_process(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("a process was started")

    monkeypatch.setattr(subprocess, "Popen", refuse)
    monkeypatch.setattr(abreast, "PATIENCE", 60.0)  # soon, on a busy machine too
    problem = bars(triplets(3), 1000, 60)
    assert solve_abreast(problem, time_limit=60.0).chosen == solve(problem).chosen


def test_a_search_that_fails_takes_nothing_away() -> None:
    first = solve(bars(triplets(3), 1000, 60))
    assert better_of(first, None) is first
