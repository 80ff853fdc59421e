"""Laps, notches, housings, dovetails, tongues, rebates and splines against a second modeller."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.joints.let_in import JOINTS, check_apart, check_gaps, check_volumes, joints
from treenail.timber.frames import dot, norm

#: Joints that may touch nowhere, so that one part can move.
MOVING = ("sliding dovetail", "tongue and groove", "panel in a groove")


@pytest.mark.parametrize("kind", JOINTS)
@settings(max_examples=5)
@given(data=st.data())
def test_volumes_rooms_and_no_shared_space(kind: str, data: st.DataObject) -> None:
    joint = data.draw(joints(kind))
    check_volumes(joint)
    check_apart(joint)
    check_gaps(joint)
    home = joint.insertion()
    assert home is not None
    assert norm(home) == pytest.approx(1.0)
    assert joint.lets_in
    seats = [g for g in joint.gaps() if g.room == 0.0]
    assert seats or joint.kind in MOVING
    assert all(dot(g.toward, g.toward) == pytest.approx(1.0) for g in joint.gaps())
