"""What tests of specs share: strategies (values in range, and rubbish), and what reading gave."""

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import strategies as st

from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.params import Param, params
from treenail.generators.spec_values import dotted_fields
from treenail.timber.errors import SpecError

HEAD = "bench: frame\nunits: in\n"
FIELDS = dotted_fields(FrameBenchSpec)
NAMES = tuple(dict.fromkeys(name.rpartition(".")[2] for name in FIELDS))
WORDS = st.text("abcXYZ 019_-", min_size=1, max_size=60).map(str.strip).filter(bool)


def values(param: Param) -> st.SearchStrategy[Any]:
    """Python values (lengths in mm) that one parameter allows."""
    inner: st.SearchStrategy[Any]
    if param.kind == "section":
        return mappings(type(param.default))
    if param.kind == "count":
        inner = st.integers(int(param.low or 0), int(param.high or 0))
    elif param.kind in ("length", "tolerance", "angle", "percent", "temperature"):
        inner = st.floats(param.low, param.high)
    elif param.kind == "flag":
        inner = st.booleans()
    elif param.kind == "choice":
        inner = st.sampled_from(param.choices)
    elif param.kind == "words":
        inner = st.lists(st.sampled_from(param.choices), unique=True)
    elif param.kind == "lengths":
        sizes = st.floats(param.low, param.high)
        inner = st.lists(sizes, unique_by=lambda x: round(x, 6), max_size=6)
    else:
        inner = WORDS | st.just("") if param.default == "" else WORDS
    return inner | st.none() if param.optional else inner


def mappings(spec: type[Any]) -> st.SearchStrategy[dict[str, Any]]:
    """Mappings of some of a spec's fields (lengths in mm)."""
    return st.fixed_dictionaries({}, optional={n: values(p) for n, p in params(spec).items()})


def rubbish(names: tuple[str, ...]) -> st.SearchStrategy[Any]:
    """Nested rubbish, some of it under names that a spec really has."""
    leaves = (
        st.none()
        | st.booleans()
        | st.floats()
        | st.integers(-(10**400), 10**400)
        | st.sampled_from(["auto", "", "true", "1/0", "9" * 5000, "1 9/16", "-3", "∞", "\ud800"])
        | st.text(max_size=20)
        | st.binary(max_size=4)
        | st.fractions()
    )
    keys = st.sampled_from(names) | st.text(max_size=8) | st.integers() | st.none()
    return st.recursive(
        leaves,
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(keys, inner, max_size=4),
        max_leaves=12,
    )


def outcome(reader: Callable[..., Any], *args: Any, **kwargs: Any) -> Any:
    """Return what a reader returns, or the SpecError that it raises; nothing else may happen."""
    try:
        return reader(*args, **kwargs)
    except SpecError as error:
        return error


def lengths_of(spec: Any) -> dict[str, float]:
    found: dict[str, float] = {}
    for name, param in params(spec).items():
        value = getattr(spec, name)
        if param.kind == "section":
            found |= {f"{name}.{inner}": x for inner, x in lengths_of(value).items()}
        elif isinstance(value, float):
            found[name] = value
    return found


def assert_same(one: Any, other: Any) -> None:
    """Equal, every float to 1e-9."""
    ours, theirs = lengths_of(one), lengths_of(other)
    assert ours.keys() == theirs.keys()
    for name, value in ours.items():
        assert value == pytest.approx(theirs[name], abs=1e-9, rel=0), name

    def rest(spec: Any) -> dict[str, Any]:
        return {
            name: rest(getattr(spec, name)) if param.kind == "section" else getattr(spec, name)
            for name, param in params(spec).items()
            if not isinstance(getattr(spec, name), float)
        }

    assert rest(one) == rest(other)
