"""What tests of the shop's rules share: shops and benches that differ in a few fields."""

from typing import Any

from treenail.checks.rules import RULES, Context, Finding
from treenail.checks.shop_file import ShopFile
from treenail.checks.shop_machines import Machines
from treenail.generators.bench import Bench
from treenail.generators.build import build_bench
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.spec_values import build_spec


def machines(**changed: Any) -> Machines:
    """The inch shop with some fields changed; lengths in mm."""
    return build_spec(Machines, changed, units="mm")


def shop(**changed: Any) -> ShopFile:
    """The same as a shop that a person wrote."""
    return ShopFile(machines=machines(**changed))


def bench(units: str = "mm", /, **changed: Any) -> Bench:
    """The default frame bench with some fields changed; lengths in mm, made in ``units``."""
    return build_bench(build_spec(FrameBenchSpec, changed, units="mm"), units=units)


def found(code: str, context: Context) -> list[Finding]:
    """What one rule finds."""
    return list(RULES[code].check(context))
