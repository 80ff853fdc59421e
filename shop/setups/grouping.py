"""Which cuts share a set-up, and in which order the set-ups come.

A cut can often be set up in more than one way: several bits are near enough, a stack may be wider
than it need be, a centred mortise may have either face against the fence. The choice that needs
the fewest set-ups is a smallest set cover: solved exactly by branch and bound where the bench is
as small as benches are, and never worse than the greedy cover. The order then changes as few and
as cheap settings as possible from one set-up to the next.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, TypeAlias

from treenail.shop.setups.model import Option, Place, Setup, Sheet, Task, key_of

__all__ = ["NODES", "assign", "build_sheet", "changes", "order_groups"]

#: Branches looked at before the best cover so far is taken, unproved.
NODES = 20_000
#: What it takes to change a setting, against one turn of a fence (our own choice).
EFFORT = {"stack": 10.0, "chisel": 4.0, "bit": 2.0, "cutter": 4.0, "blade": 8.0, "tilt": 5.0}
#: Up to so many groups in a stage are ordered exactly.
EXACT = 10

Key: TypeAlias = Hashable


def assign(
    choices: Sequence[Mapping[Key, float]], *, nodes: int = NODES
) -> tuple[tuple[Key, ...], bool]:
    """For each task the key it is made under: fewest keys, then least cost, and whether proved.

    Args:
        choices: for each task, the cost under each key that it can be made under.
        nodes: branches to look at before giving up the proof.
    """
    found: dict[int, Key] = {}
    proved = True
    for part in _components(choices):
        here = _without_dominated([choices[i] for i in part])
        best, sure = _Cover(here, set(_greedy(here)), nodes).search()
        proved &= sure
        found |= {i: _cheapest(c, best) for i, c in zip(part, here, strict=True)}
    return tuple(found[i] for i in range(len(choices))), proved


def _components(choices: Sequence[Mapping[Key, float]]) -> list[list[int]]:
    """Tasks that hang together by keys: what the others take doesn't matter to them."""
    parts: list[tuple[set[Key], list[int]]] = []
    for i, c in enumerate(choices):
        mine, numbers, others = set(c), [i], []
        for keys, members in parts:
            if keys & mine:
                mine |= keys
                numbers += members
            else:
                others.append((keys, members))
        parts = [*others, (mine, numbers)]
    return [sorted(numbers) for _, numbers in parts]


def _without_dominated(choices: list[Mapping[Key, float]]) -> list[Mapping[Key, float]]:
    """Drop keys that another one replaces in each of their tasks at no more cost."""
    of: dict[Key, dict[int, float]] = defaultdict(dict)
    for i, c in enumerate(choices):
        for key, cost in c.items():
            of[key][i] = cost
    keys = sorted(of, key=repr)
    gone: set[Key] = set()
    for k in keys:
        for other in keys:
            if other == k or other in gone or not of[k].keys() <= of[other].keys():
                continue
            no_dearer = all(of[other][i] <= cost for i, cost in of[k].items())
            # Of two that are alike the first one stays.
            if no_dearer and (of[k] != of[other] or repr(other) < repr(k)):
                gone.add(k)
                break
    return [{k: v for k, v in c.items() if k not in gone} for c in choices]


def _cheapest(costs: Mapping[Key, float], keys: set[Key]) -> Key:
    return min((k for k in costs if k in keys), key=lambda k: (costs[k], repr(k)))


def _greedy(choices: Sequence[Mapping[Key, float]]) -> list[Key]:
    left = set(range(len(choices)))
    keys: list[Key] = []
    while left:
        gain: dict[Key, list[int]] = defaultdict(list)
        for i in sorted(left):
            for key in choices[i]:
                gain[key].append(i)
        key = min(gain, key=lambda k: (-len(gain[k]), sum(choices[i][k] for i in gain[k]), repr(k)))
        keys.append(key)
        left -= set(gain[key])
    return keys


class _Cover:
    """Branch and bound: take the task with the fewest keys left, try each of its keys."""

    def __init__(self, choices: Sequence[Mapping[Key, float]], start: set[Key], nodes: int) -> None:
        # Tasks that can be made under the same keys at the same cost are one, counted.
        counted: dict[tuple[tuple[Key, float], ...], int] = defaultdict(int)
        for c in choices:
            counted[tuple(sorted(c.items(), key=lambda kv: repr(kv[0])))] += 1
        self.tasks = [(dict(items), n) for items, n in counted.items()]
        self.nodes = nodes
        self.best = set(start)
        self.value = self._value(self.best)

    def _value(self, keys: set[Key]) -> tuple[int, float]:
        cost = sum(n * min(c[k] for k in c if k in keys) for c, n in self.tasks)
        return (len(keys), cost)

    def search(self) -> tuple[set[Key], bool]:
        self._branch(frozenset(), frozenset())
        return self.best, self.nodes > 0

    def _branch(self, taken: frozenset[Key], refused: frozenset[Key]) -> None:
        if self.nodes <= 0:
            return
        self.nodes -= 1
        open_tasks = [c for c, _ in self.tasks if not taken & c.keys()]
        if not open_tasks:
            value = self._value(set(taken))
            if value < self.value:
                self.best, self.value = set(taken), value
            # One key more never beats fewer keys, so that this branch is done.
            return
        if len(taken) + _apart(open_tasks) > self.value[0]:
            return
        task = min(open_tasks, key=lambda c: len(c.keys() - refused))
        without = set(refused)
        for key in sorted(task.keys() - refused, key=lambda k: (task[k], repr(k))):
            self._branch(taken | {key}, frozenset(without))
            without.add(key)


def _apart(tasks: Sequence[Mapping[Key, float]]) -> int:
    """At least so many keys: tasks that share none with each other."""
    used: set[Key] = set()
    count = 0
    for c in sorted(tasks, key=len):
        if not used & c.keys():
            used |= c.keys()
            count += 1
    return count


# --- order


def changes(a: Sequence[Any], b: Sequence[Any]) -> float:
    """What it takes to go from one set-up's settings to another's (keys of settings)."""
    before = {k[0]: k for k in a}
    return sum(EFFORT.get(k[0], 1.0) for k in b if before.get(k[0]) != k)


def order_groups(groups: Sequence[Sequence[Any]]) -> list[int]:
    """An order of set-ups with little to change between them: exact up to ``EXACT`` of them.

    Each group is the tuple of its settings' keys. Beyond that: the nearest next one, from the
    best start.
    """
    n = len(groups)
    if n <= 1:
        return list(range(n))
    cost = [[changes(a, b) for b in groups] for a in groups]
    if n > EXACT:
        tours = [_nearest(cost, start) for start in range(n)]
        return min(tours, key=lambda t: sum(cost[i][j] for i, j in pairwise(t)))
    # Held and Karp: best[mask, last] of a path through mask that ends at last.
    best: dict[tuple[int, int], tuple[float, int]] = {(1 << i, i): (0.0, -1) for i in range(n)}
    for mask in range(1, 1 << n):
        for last in range(n):
            here = best.get((mask, last))
            if here is None:
                continue
            for nxt in range(n):
                if mask >> nxt & 1:
                    continue
                to = (mask | 1 << nxt, nxt)
                value = here[0] + cost[last][nxt]
                if to not in best or value < best[to][0] - 1e-12:
                    best[to] = (value, last)
    full = (1 << n) - 1
    last = min(range(n), key=lambda i: (best[(full, i)][0], i))
    path, mask = [], full
    while last != -1:
        path.append(last)
        mask, last = mask ^ (1 << last), best[(mask, last)][1]
    return path[::-1]


def _nearest(cost: list[list[float]], start: int) -> list[int]:
    tour, left = [start], set(range(len(cost))) - {start}
    while left:
        tour.append(min(left, key=lambda j: (cost[tour[-1]][j], j)))
        left.remove(tour[-1])
    return tour


# --- sheets


@dataclass(frozen=True, slots=True)
class _Made:
    task: Task
    option: Option
    key: tuple[Any, ...]

    @property
    def stop(self) -> tuple[Any, ...]:
        o = self.option
        return (None if o.stop is None else round(o.stop, 3), o.stop_from)


def build_sheet(
    machine: str,
    tasks: Sequence[Task],
    *,
    cautions: Sequence[str],
    notes: Sequence[str] = (),
) -> Sheet:
    """The sheet of one machine: cuts grouped, set-ups ordered and counted."""
    choices: list[dict[Key, float]] = []
    options: list[dict[Key, Option]] = []
    for task in tasks:
        costs: dict[Key, float] = {}
        by_key: dict[Key, Option] = {}
        for option in task.options:
            key = key_of(task, option)
            if key not in costs or option.cost < costs[key]:
                costs[key], by_key[key] = option.cost, option
        choices.append(costs)
        options.append(by_key)
    keys, proved = assign(choices)
    made = [
        _Made(task, by_key[key], key_of(task, by_key[key]))
        for task, by_key, key in zip(tasks, options, keys, strict=True)
    ]
    groups: dict[tuple[Any, ...], list[_Made]] = defaultdict(list)
    for m in made:
        groups[m.key].append(m)
    order: list[tuple[Any, ...]] = []
    for stage in sorted({k[0] for k in groups}):
        here = [k for k in groups if k[0] == stage]
        order += [here[i] for i in order_groups([k[1:] for k in here])]
    setups = tuple(_setup(i, machine, groups[k]) for i, k in enumerate(order, start=1))
    rank = {key: i for i, key in enumerate(order)}
    by_part, stops_by_part = _part_by_part(made, rank)
    return Sheet(
        machine=machine,
        setups=setups,
        part_by_part=by_part,
        stops=len({(m.key, m.stop) for m in made if m.option.stop is not None}),
        stops_part_by_part=stops_by_part,
        fewest=proved,
        cautions=tuple(cautions),
        notes=tuple(notes),
    )


def _setup(number: int, machine: str, made: Sequence[_Made]) -> Setup:
    places: dict[tuple[Any, ...], list[_Made]] = defaultdict(list)
    for m in made:
        places[(*m.stop, m.option.order, m.option.marks)].append(m)
    first = made[0]

    def once(texts: Sequence[str]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(t for t in texts if t))

    return Setup(
        number=number,
        machine=machine,
        work=", ".join(once([m.task.work for m in made])),
        settings=first.option.settings,
        places=tuple(
            Place(
                stop=here[0].option.stop,
                measured_from=here[0].option.stop_from,
                marks=here[0].option.marks,
                order=here[0].option.order,
                cuts=tuple(m.option.cut for m in here),
            )
            for here in places.values()
        ),
        test_cut=" ".join(once([m.task.test_cut for m in made])),
        order=once([s for m in made for s in m.task.steps]),
        remarks=once([r for m in made for r in m.task.remarks]),
    )


def _part_by_part(made: Sequence[_Made], rank: Mapping[tuple[Any, ...], int]) -> tuple[int, int]:
    """Set-ups and stops if each piece is finished before the next, its own cuts well ordered."""
    pieces: dict[str, list[_Made]] = defaultdict(list)
    for m in made:
        pieces[m.task.member].append(m)
    run = [
        m
        for cuts in pieces.values()
        for m in sorted(cuts, key=lambda m: (rank[m.key], repr(m.stop)))
    ]
    setups = stops = 0
    for i, m in enumerate(run):
        before = run[i - 1] if i else None
        fresh = before is None or before.key != m.key
        setups += fresh
        if m.option.stop is not None and (fresh or before is None or before.stop != m.stop):
            stops += 1
    return setups, stops
