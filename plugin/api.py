"""The Python face: benches that can be solid, checked and exported."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING, Any, Literal, Self

import treenail
from treenail.generators import bench as numbers
from treenail.generators.apron_spec import ApronBenchSpec
from treenail.generators.build import build_bench, build_document
from treenail.generators.families import family_of
from treenail.generators.frame_spec import FrameBenchSpec
from treenail.generators.raised_spec import RaisedBenchSpec
from treenail.generators.saw_spec import SawBenchSpec
from treenail.generators.slab_spec import SlabBenchSpec
from treenail.generators.spec_file import read_spec
from treenail.generators.spec_values import build_spec
from treenail.generators.trestle_spec import TrestleBenchSpec
from treenail.generators.usual_sizes import usual_spec

if TYPE_CHECKING:
    import os

    import cadquery as cq

    from treenail.checks.rules import Context, Report
    from treenail.checks.shop_file import ShopFile
    from treenail.generators.solids import BenchSolids
    from treenail.shop.as_built import Change
    from treenail.shop.boards import Boards
    from treenail.shop.glue import Glue
    from treenail.shop.rack import Board
    from treenail.shop.stock.options import StockOptions
    from treenail.shop.stock.plan import PlanProgress
    from treenail.templates.export import Exported, ExportOptions
    from treenail.timber.species import Species

Progress = Callable[[str], None]


class Bench(numbers.Bench):
    """A bench with what one does with it. Frozen; the numbers are ``generators.bench.Bench``'s.

    The same spec always gives the same bench, the same names and byte-identical files.
    """

    @classmethod
    def of(cls, plain: numbers.Bench) -> Self:
        """The same bench, with methods."""
        return cls(**{f.name: getattr(plain, f.name) for f in dataclasses.fields(plain)})

    @cached_property
    def _built(self) -> BenchSolids:
        from treenail.generators.solids import build_solids

        return build_solids(self)

    def solids(self, *, progress: Progress | None = None) -> BenchSolids:
        """The kernel solids, built once; ``.placed`` maps names to ``cadquery.Solid``.

        Raises:
            KernelError: a member's cuts leave nothing, or leave it in pieces.
        """
        if progress and "_built" not in self.__dict__:
            from treenail.generators.solids import build_solids

            self.__dict__["_built"] = build_solids(self, progress=progress)
        return self._built

    def measured(self, form: str | os.PathLike[str] | bytes) -> Self:
        """The bench re-derived from a form of measured sizes (``treenail measure``).

        Raises:
            SpecError: a slip in the form, or what can no longer fit, with the way out.
        """
        from treenail.shop.as_built import as_built
        from treenail.shop.measurements import read_measured

        return self.of(as_built(self, read_measured(form, self)).bench)

    def assembly(self) -> cq.Assembly:
        """A CadQuery assembly: every part by name and colour, alike ones shared."""
        from treenail.templates.assembly import assembly

        return assembly(self.solids())

    def context(
        self,
        *,
        shop: ShopFile | None = None,
        numbers_only: bool = False,
        progress: Progress | None = None,
    ) -> Context:
        """What the checks look at: the bench, its solids, and the shop."""
        from treenail.checks.rules import Context

        solids = None if numbers_only else self.solids(progress=progress)
        return Context(bench=self, solids=solids, shop=shop)

    def check(
        self,
        *,
        shop: ShopFile | None = None,
        numbers_only: bool = False,
        progress: Progress | None = None,
    ) -> Report:
        """Run the validation layer.

        Args:
            shop: what the shop has and holds (``read_shop``); None takes a guess.
            numbers_only: leave out the rules that measure solids (milliseconds, no kernel).
            progress: called with each rule's title.
        """
        from treenail.checks import check_context

        context = self.context(shop=shop, numbers_only=numbers_only, progress=progress)
        return check_context(context, progress=progress)

    def export(
        self,
        folder: str | os.PathLike[str],
        *,
        shop: ShopFile | None = None,
        anyway: bool = False,
        options: ExportOptions | None = None,
        papers: bool = True,
        glue: Glue | None = None,
        boards: Boards | None = None,
        changes: tuple[Change, ...] = (),
        progress: Progress | None = None,
    ) -> Exported:
        """Check, then write STEP, DXF templates, cut list, drawing, papers and report, or nothing.

        Args:
            folder: made if missing; an earlier run's files there are replaced.
            shop: what the shop has and holds (``read_shop``); None takes a guess.
            anyway: write in spite of errors, every file marked as not passed.
            options: DXF release, units and curves.
            papers: whether the shop's papers are written, too, in ``shop/``.
            glue: for the papers, as its label says; None takes a typical one.
            boards: for the papers, from :meth:`boards`; None: without a rack.
            changes: for the papers: what followed from measured sizes.
            progress: called with what is being done.

        Raises:
            ChecksFailed: the checks found errors (and ``anyway`` was not given).
            OutputError: the folder can't be written; nothing was changed.
        """
        from pathlib import Path

        from treenail.checks import check_context
        from treenail.templates.export import export_bench
        from treenail.templates.shop_folder import Papers

        context = self.context(shop=shop, progress=progress)
        return export_bench(
            Path(folder),
            context=context,
            findings=check_context(context, progress=progress),
            options=options,
            papers=Papers(glue=glue, boards=boards, changes=changes) if papers else None,
            anyway=anyway,
            version=treenail.__version__,
            progress=progress or (lambda _: None),
        )

    @property
    def species(self) -> tuple[Species, ...]:
        """Every wood in it, once."""
        return tuple(dict.fromkeys(m.species for m in self.members))

    def boards(
        self,
        rack: Iterable[Board] = (),
        *,
        shop: ShopFile | None = None,
        options: StockOptions | None = None,
        spares: Mapping[str, int] | None = None,
        progress: PlanProgress | None = None,
    ) -> Boards:
        """Rough parts, their plan on the boards of a rack, and what is to buy.

        Args:
            rack: the boards that are there (``shop.rack.read_rack``); none: all is to buy.
            shop: its machines; None takes a guess.
            options: of the plan; None takes the usual ones with the kerf of the shop's saw.
            spares: how many members to spare, by role or name.
            progress: called with what is done, seconds, the plan's cost and its bound.

        Raises:
            SpecError: spares or options don't fit the bench or the rack.
        """
        from treenail.shop.boards import plan_boards

        return plan_boards(self, shop, rack, options=options, spares=spares, progress=progress)

    def shop_papers(
        self,
        folder: str | os.PathLike[str],
        *,
        shop: ShopFile | None = None,
        glue: Glue | None = None,
        boards: Boards | None = None,
        changes: tuple[Change, ...] = (),
        anyway: bool = False,
        progress: Progress | None = None,
    ) -> dict[str, Any]:
        """Write the shop's papers from the numbers; returns the data of ``shop.json``.

        Args:
            folder: made if missing; an earlier run's files there are replaced.
            shop: its machines; None takes a guess.
            glue: as its label says (``shop.glue.read_glue``); None takes a typical one.
            boards: from :meth:`boards`; None: without a rack.
            changes: what followed from measured sizes.
            anyway: write in spite of errors, every page marked as not passed.
            progress: called with what is being made.

        Raises:
            ChecksFailed: the checks found errors (and ``anyway`` was not given).
            OutputError: the folder can't be written; nothing was changed.
        """
        from pathlib import Path

        from treenail.checks import check_context
        from treenail.templates.shop_folder import Papers, write_shop

        context = self.context(shop=shop, numbers_only=True)
        return write_shop(
            context,
            Path(folder),
            check_context(context),
            Papers(glue=glue, boards=boards, changes=changes),
            anyway=anyway,
            progress=progress or (lambda _: None),
        )


def frame_bench(
    *,
    units: Literal["in", "mm"] = "mm",
    added_species: Mapping[str, Species] | None = None,
    **sizes: Any,
) -> Bench:
    """Four posts, eight stretchers, a laminated top bolted on.

    Args:
        units: of bare numbers, and of lengths in messages and tables.
        added_species: woods of your own, by name.
        sizes: fields of ``FrameBenchSpec``; sections as mappings. Lengths are numbers in
            ``units``, text with a unit (``"1 9/16 in"``), or ``"auto"``.

    Raises:
        SpecError: a field is unknown, out of range, or can't be met; the field is named.
    """
    return _bench(FrameBenchSpec, sizes, units, added_species)


def apron_bench(
    *,
    units: Literal["in", "mm"] = "mm",
    added_species: Mapping[str, Species] | None = None,
    **sizes: Any,
) -> Bench:
    """Wide aprons let into the posts, battens in the aprons, a planked top.

    As :func:`frame_bench`, with the fields of ``ApronBenchSpec``.
    """
    return _bench(ApronBenchSpec, sizes, units, added_species)


def raised_bench(
    *,
    units: Literal["in", "mm"] = "mm",
    added_species: Mapping[str, Species] | None = None,
    **sizes: Any,
) -> Bench:
    """A small bench that stands on another one, pinned or clamped, for fine work.

    As :func:`frame_bench`, with the fields of ``RaisedBenchSpec``.
    """
    return _bench(RaisedBenchSpec, sizes, units, added_species)


def slab_bench(
    *,
    units: Literal["in", "mm"] = "mm",
    added_species: Mapping[str, Species] | None = None,
    **sizes: Any,
) -> Bench:
    """A thick top, four posts tenoned up through it, drawbored stretchers below.

    As :func:`frame_bench`, with the fields of ``SlabBenchSpec``.
    """
    return _bench(SlabBenchSpec, sizes, units, added_species)


def saw_bench(
    *,
    units: Literal["in", "mm"] = "mm",
    added_species: Mapping[str, Species] | None = None,
    **sizes: Any,
) -> Bench:
    """A low plank on four legs splayed in two directions, wedged through it; end rails.

    As :func:`frame_bench`, with the fields of ``SawBenchSpec``.
    """
    return _bench(SawBenchSpec, sizes, units, added_species)


def trestle_bench(
    *,
    units: Literal["in", "mm"] = "mm",
    added_species: Mapping[str, Species] | None = None,
    **sizes: Any,
) -> Bench:
    """Two trestles of foot, posts and arm, stretchers through them held by tusks; comes apart.

    As :func:`frame_bench`, with the fields of ``TrestleBenchSpec``.
    """
    return _bench(TrestleBenchSpec, sizes, units, added_species)


def _bench(
    kind: type[Any],
    sizes: Mapping[str, Any],
    units: Literal["in", "mm"],
    added_species: Mapping[str, Species] | None,
) -> Bench:
    spec = build_spec(kind, sizes, units=units, base=usual_spec(family_of(kind), units))
    return Bench.of(build_bench(spec, units=units, added_species=added_species))


def bench_of(spec: Any, *, units: Literal["in", "mm"] = "mm") -> Bench:
    """The bench of a family's spec dataclass (lengths in mm)."""
    return Bench.of(build_bench(spec, units=units))


def build_spec_file(source: str | os.PathLike[str] | bytes) -> Bench:
    """The bench of a YAML spec: a path, or the file's content.

    Raises:
        SpecError: with file, line and field.
    """
    return Bench.of(build_document(read_spec(source)))
