"""Strength and steadiness against values from outside the project, each with its source."""

import pytest

from tests.checks.strength.frames import wires
from treenail.checks.strength.beams import Beam
from treenail.checks.strength.columns import column_stability, euler_stress
from treenail.checks.strength.frame import analyse
from treenail.checks.strength.frame_quick import Portal, Spring, portal_sway, rail_spring
from treenail.checks.strength.loads import LIFT_ALONE
from treenail.checks.strength.steady import tipping_force


def test_simple_span_with_shear() -> None:
    """FPL-GTR-190 Eq. 9-2, Table 9-1; 2-D orthotropic finite elements gave 0.28610 mm."""
    sag = Beam(50, 100, 12600).sag("simple uniform", 1000, 1000)
    assert sag == pytest.approx(0.2861, abs=5e-5)


def test_tipping() -> None:
    """Statics: W 900 N, feet 0.60 m apart, push at 0.86 m: 314 N."""
    assert tipping_force(900, 600 / 2, 860) == pytest.approx(314, abs=0.5)


def test_column_stability() -> None:
    """NDS eq. 3.7-1; HUD Residential Structural Design Guide (2017), example 5.6."""
    f_ce = euler_stress(510_000, 7.3 * 12 / 3.5)
    assert f_ce == pytest.approx(669.2, abs=0.1)
    assert column_stability(f_ce, 1322.5, 0.8) == pytest.approx(0.4378, abs=5e-5)


EI_POST, EI_RAIL = 12600 * 80**4 / 12, 12600 * 45 * 140**3 / 12


def test_rigid_portal_in_closed_form() -> None:
    """Pinned-base portal, slope-deflection: P 500 N, H 800, L 1500 mm: 1.30058 mm."""
    k = rail_spring(EI_RAIL, 1500, float("inf"))
    portal = Portal(800, EI_POST, float("inf"), (Spring(800, k),))
    assert portal_sway(portal, 500).sway == pytest.approx(1.30058, abs=5e-6)


def test_rigid_portal_by_frame_analysis() -> None:
    """The same portal, front and back and at both ends, by PyNite: 500 N for each."""
    along, across = analyse(wires(stiffness=1e12), "tight", 1000.0, 1000.0, False)
    assert along.sway == pytest.approx(1.30058, rel=5e-3)
    assert across.sway == pytest.approx(1.30058, rel=5e-3)


def test_load_constant() -> None:
    """NIOSH revised lifting equation, DHHS 94-110: 23 kg (51 lb)."""
    assert pytest.approx(51, abs=0.5) == LIFT_ALONE / 0.45359237
