"""What the builders of all families share: woods, seasons, fit, the top, the bench at the end.

A family's builder derives from :class:`Builder` (on four posts with stretchers, from
``PostBenchBuilder``), says its ``family``, and makes its own members and joints in ``bench``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar, Generic, Protocol, TypeVar, cast

from treenail.generators.bench import Bench
from treenail.generators.climate import seasons_of
from treenail.generators.frame_layout import INCH, in_units
from treenail.generators.top_kinds import build_top
from treenail.generators.top_place import Place
from treenail.generators.tops import dog_hole_rows
from treenail.joints.tenon_variants.make import CUTTER, wedged_tenon
from treenail.timber.species import get_species

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from treenail.generators.frame_spec import Moisture, Top
    from treenail.generators.post_spec import WedgedSizes
    from treenail.generators.slab_layout import PostTenonPlan
    from treenail.joints.base import Joint
    from treenail.joints.corners import CornerKind
    from treenail.joints.fits import Fit, Model
    from treenail.joints.tenon_variants.wedged import WedgedTenon
    from treenail.timber.member import Face, Member
    from treenail.timber.species import Species


class NamedSpec(Protocol):
    """What is asked of any family's spec."""

    @property
    def name(self) -> str:
        """The bench's."""

    @property
    def species(self) -> str:
        """Of the base."""

    @property
    def top_species(self) -> str:
        """Of the top; empty takes the base's."""

    @property
    def fit(self) -> str:
        """Of the tenons."""

    @property
    def model(self) -> str:
        """Which clearance of the fit is built."""

    @property
    def moisture(self) -> Moisture:
        """Of the wood over the year."""


SpecT = TypeVar("SpecT", bound=NamedSpec)


class Builder(Generic[SpecT]):
    """Builds one bench; holds what the steps share.

    Attributes:
        family: its name in a spec file.
        peg_field: the spec's field with the wood of pegs and wedges.
    """

    family: ClassVar[str]
    peg_field: ClassVar[str] = "peg_species"

    def __init__(self, spec: SpecT, units: str, added: Mapping[str, Species] | None) -> None:
        self.spec = spec
        self.units = units
        self.say = in_units(units)
        self.added = added or {}
        self.wood = self.wood_of(spec.species, "species")
        self.top_wood = self.wood_of(spec.top_species or spec.species, "top_species")
        self.peg_wood = self.wood_of(getattr(spec, self.peg_field), self.peg_field)
        self.seasons = seasons_of(spec.moisture)
        self.fit: Fit = self.say.fit(spec.fit).built(cast("Model", spec.model))
        self.choices: dict[str, Any] = {}
        self.top_others: tuple[Member, ...] = ()

    @classmethod
    def build(
        cls,
        spec: SpecT,
        *,
        units: str = "mm",
        added_species: Mapping[str, Species] | None = None,
    ) -> Bench:
        """Build a bench from its spec; the same spec always gives the same bench.

        Raises:
            SpecError: a size can't be met; the field is named.
            GeometryError: members don't meet.
        """
        return cls(spec, units, added_species).bench()

    def bench(self) -> Bench:
        """All together."""
        raise NotImplementedError

    def wood_of(self, name: str, field: str) -> Species:
        """A wood by its name in the spec, the user's own first; SpecError names the field."""
        return self.added[name] if name in self.added else get_species(name, field=field)

    def place(
        self, size: tuple[float, float, float], lines: tuple[float, float], cover: float = 0.0
    ) -> Place:
        """Where a top goes: the bench's size, what holds it, what a well's rail covers; mm."""
        length, depth, height = size
        return Place(
            length=length,
            depth=depth,
            height=height,
            lines=lines,
            cover=cover,
            species=self.top_wood,
            peg_species=self.peg_wood,
            seasons=self.seasons,
            step=INCH / 32 if self.units == "in" else 0.5,
            say=self.say,
        )

    def slabs(
        self,
        top: Any,
        place: Place,
        rows: Sequence[float],
        keep_clear: Iterable[float],
        bored: tuple[float, float],
    ) -> tuple[tuple[Member, ...], list[Joint]]:
        """A laminated top of any kind: its sections, front to back; all joints, dog holes too.

        What else belongs to it (a strip, a well's bottom, end boards) goes to ``top_others``.

        Args:
            top: the spec's section.
            place: where it goes.
            rows: of dog holes, from the front edge, mm.
            keep_clear: other lines that no glue line may come near, mm.
            bored: from where to where along the bench there are dog holes, mm.
        """
        made = build_top(cast("Top", top), place, rows=rows, keep_clear=keep_clear)
        self.top_others = made.others
        self.choices["top.sections"] = sum(m.role == "top section" for m in made.sections)
        holes = dog_hole_rows(
            made.sections,
            rows=rows,
            start=bored[0],
            stop=bored[1],
            pitch=top.dog_holes.pitch,
            diameter=top.dog_holes.diameter,
        )
        return made.sections, [*made.joints, *holes]

    def wedged(
        self,
        receiver: Member,
        leg: Member,
        end: Face,
        name: str,
        plan: PostTenonPlan,
        *,
        corners: CornerKind = "square",
        cutter: float = CUTTER,
    ) -> WedgedTenon:
        """A post's wedged tenon through what lies across its end, of the spec's ``post_tenons``."""
        sizes: WedgedSizes = getattr(self.spec, "post_tenons")  # noqa: B009  # not every spec's
        return wedged_tenon(
            receiver,
            leg,
            wedges=sizes.wedges,
            flare=sizes.flare,
            kerf=sizes.kerf,
            species=self.peg_wood,
            end=end,
            name=name,
            fit=self.fit,
            shoulders=plan.shoulders,
            corners=corners,
            cutter=cutter,
        )

    def made(
        self, timbers: Iterable[Member], joints: Iterable[Joint], size: tuple[float, float, float]
    ) -> Bench:
        """The bench of these parts, over all as large as ``size``, mm."""
        return Bench(
            name=self.spec.name,
            family=self.family,
            units=self.units,
            timbers=tuple(timbers),
            joints=tuple(joints),
            asked=size,
            seasons=self.seasons,
            spec=self.spec,
            choices=self.choices,
        )


__all__ = ["Builder", "NamedSpec"]
