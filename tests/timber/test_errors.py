"""The errors: exit statuses, builtin kin, places and pickling."""

import pickle

import pytest

from treenail.timber import errors
from treenail.timber.errors import (
    ChecksFailed,
    GeometryError,
    KernelError,
    OutputError,
    SpecError,
    TreenailError,
)


@pytest.mark.parametrize(
    ("kind", "kin", "status"),
    [
        (SpecError, ValueError, 2),
        (OutputError, OSError, 3),
        (GeometryError, ValueError, 4),
        (KernelError, RuntimeError, 5),
        (ChecksFailed, Exception, 6),
    ],
)
def test_kin_status_and_pickle(
    kind: type[TreenailError], kin: type[Exception], status: int
) -> None:
    error = kind("the vise is too deep")
    assert isinstance(error, TreenailError)
    assert isinstance(error, kin)
    assert error.exit_status == status
    again = pickle.loads(pickle.dumps(error))
    assert type(again) is kind
    assert str(again) == str(error)


def test_exported_names() -> None:
    kinds = {n for n, v in vars(errors).items() if getattr(v, "__module__", "") == errors.__name__}
    kinds = {n for n in kinds if not n.startswith("_")}
    assert set(errors.__all__) == kinds


def test_spec_error_is_one_clear_line() -> None:
    error = SpecError("'2 3/4 pounds' is not a length", allowed="38 mm")
    placed = error.at(file="bench.yaml", line=12, field="top.thickness")
    assert str(placed) == (
        "bench.yaml, line 12, top.thickness: '2 3/4 pounds' is not a length; allowed: 38 mm"
    )
    assert str(error) == "'2 3/4 pounds' is not a length; allowed: 38 mm"


def test_the_innermost_place_stays() -> None:
    error = SpecError("wrong", field="leg.width", line=7).at(file="a.yaml", line=1, field="leg")
    assert (error.file, error.line, error.field) == ("a.yaml", 7, "leg.width")
    again = pickle.loads(pickle.dumps(error))
    assert vars(again) == vars(error)


def test_control_characters_are_escaped() -> None:
    text = str(SpecError("a\nb", file="c\x1b[31m.yaml", field="d\r", allowed="e\tf"))
    assert text == "c\\x1b[31m.yaml, d\\r: a\\nb; allowed: e\\tf"
