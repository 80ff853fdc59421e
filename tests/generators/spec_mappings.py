"""Strategies for specs: values in range for every declared parameter, and rubbish."""

from typing import Any

from hypothesis import strategies as st

from treenail.generators.params import Param, params

WORDS = st.text("abcXYZ 019_-", min_size=1, max_size=60).map(str.strip).filter(bool)


def values(param: Param) -> st.SearchStrategy[Any]:
    """Python values (lengths in mm) that one parameter allows."""
    inner: st.SearchStrategy[Any]
    if param.kind == "section":
        return mappings(type(param.default))
    if param.kind == "count":
        inner = st.integers(int(param.low or 0), int(param.high or 0))
    elif param.kind in ("length", "number", "percent"):
        inner = st.floats(param.low, param.high)
    elif param.kind == "flag":
        inner = st.booleans()
    elif param.kind == "choice":
        inner = st.sampled_from(param.choices)
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
