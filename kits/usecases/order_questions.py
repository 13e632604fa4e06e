"""An order plan's question from the rows: what kits want, what the branch has and can buy, and a digest of it all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from uuid import UUID
from zoneinfo import ZoneInfo

from catalog.domain.parts import PartKey
from catalog.models import Part
from kits.domain.calendars import Calendar, CalendarEnds, shelf_date
from kits.domain.kit_lines import Unit
from kits.domain.order_plan.fluids import Fluid, FluidBuying, containers_offered
from kits.domain.order_plan.question import Need, Offer, OrderQuestion
from kits.domain.stock import StockItem
from kits.loading.kit_needs import WantedLine, WantedUse, wanted_lines
from kits.usecases.branch_supply import BranchSupply, branch_supply
from kits.usecases.kit_approvals import lines_that_stand
from kits.usecases.order_asking import OldStock, PlanAsked
from kits.usecases.order_candidates import Fitting, candidates_of, fitting
from kits.usecases.order_goods import Goods, goods_by_key, offers_of, stock_of
from kits.usecases.order_refusals import DaysUnknown
from kits.usecases.own_orders import without_orders_of


@dataclass(frozen=True, slots=True)
class Wish:
    """What one need of the question is for: a use of a line, or containers for the lines of one or more jobs."""

    lines: tuple[WantedLine, ...]
    goods: Goods
    use: WantedUse | None = None
    old: tuple[PartKey, ...] = ()  # earlier numbers that may be used up for it


@dataclass(frozen=True, slots=True)
class PlanBasis:
    """All that a plan is made from. `wishes` are by the needs' ids, `goods` by what the question calls them."""

    asked: PlanAsked
    question: OrderQuestion
    wishes: Mapping[str, Wish]
    goods: Mapping[PartKey, Goods]
    lines: tuple[WantedLine, ...]
    shelf: Mapping[UUID, date]
    fluids: tuple[Fluid, ...]
    fit: Fitting
    supply: BranchSupply
    missing: tuple[str, ...]


def plan_basis(asked: PlanAsked, *, now: datetime, apart_from: UUID | None = None) -> PlanBasis:
    """Load and put together, in a number of statements that does not grow with the kits.

    What the plan `apart_from` has ordered counts as not ordered. Raises DaysUnknown and CalendarEnds where no shelf
    date can be told.
    """
    lines = lines_that_stand(wanted_lines(asked.kits, apart_from=apart_from), asked.branch.dealer, now)
    candidates = candidates_of(lines)
    used = {use.part.pk for line in lines for use in line.uses}
    first, today = min(kit.fitted_on for kit in asked.kits), asked.branch.today(now)
    supply = branch_supply(asked.branch, used | candidates.parts(), fitted_on=first, today=today)
    if apart_from is not None:
        supply = without_orders_of(apart_from, supply, today)
    others = {part.pk: part for part in Part.objects.filter(pk__in=candidates.parts()).select_related("maker")}
    there = {pk for pk, part in others.items() if _to_be_had(Goods(part).key, supply)}
    fit = fitting(candidates, lines, there, dealer=asked.branch.dealer, now=now)
    return _Putting(asked, lines, supply, fit, others).basis()


def _to_be_had(key: PartKey, supply: BranchSupply) -> bool:
    return any(item.part == key for item in supply.stock) or any(offer.part == key for offer in supply.offers)


class _Putting:
    """Puts the question together from what is loaded."""

    def __init__(
        self, asked: PlanAsked, lines: tuple[WantedLine, ...], supply: BranchSupply, fit: Fitting,
        others: Mapping[int, Part],
    ) -> None:  # fmt: skip
        self.asked, self.lines, self.supply, self.fit, self.others = asked, lines, supply, fit, others
        self.shelf = _shelf_dates(asked, supply.calendar)
        self.missing = list(supply.missing)
        self.wishes: dict[str, Wish] = {}
        self.needs: list[Need] = []
        self.fluids: list[Fluid] = []

    def basis(self) -> PlanBasis:
        offers = tuple(self._dated(offer) for offer in offers_of(self.supply))
        self._want_pieces()
        self._want_fluids()
        earlier = [Goods(part) for part in self.others.values()]
        sizes = [Goods(part, content) for part in self._by_fluid() for content in self._sizes(part)]
        goods = goods_by_key([*(wish.goods for wish in self.wishes.values()), *earlier, *sizes])
        question = OrderQuestion(
            tuple(self.needs), _old_first(stock_of(self.supply), self.wishes), offers, self.asked.placed,
            ZoneInfo(self.asked.branch.zone), self.asked.branch.currency, self.supply.suppliers, self.supply.elsewhere,
        )  # fmt: skip
        return PlanBasis(
            self.asked, question, self.wishes, goods, self.lines, self.shelf, tuple(self.fluids), self.fit,
            self.supply, tuple(dict.fromkeys(self.missing)),
        )  # fmt: skip

    def _dated(self, offer: Offer) -> Offer:
        """Without its delivery where that leads to days of which nothing is known, which is then asked."""
        try:
            offer.arrives(self.asked.placed)
        except CalendarEnds as error:
            self.missing.append(error.message)
            return replace(offer, delivery=None)
        return offer

    def _want_pieces(self) -> None:
        for line in self.lines:
            if not line.settled:
                self._want_unsettled(line)
            elif line.row.unit != Unit.MICROLITRE:
                for use in line.uses:
                    self._want_use(line, use)

    def _want_unsettled(self, line: WantedLine) -> None:
        row = line.row
        if row.part is None or row.quantity is None or row.unit != Unit.EACH:
            return  # nothing that could be counted; it is told as it is
        others = self._keys(self.fit.others.get(row.pk, ()))
        need = self._need(_id(line, "open"), [line], Goods(row.part), row.quantity)
        self._add(replace(need, serves=(), alternatives=others), Wish((line,), Goods(row.part)))

    def _want_use(self, line: WantedLine, use: WantedUse) -> None:
        if not use.quantity:
            return
        goods, old = Goods(use.part, use.content), self._keys(self.fit.old.get(line.row.pk, ()))
        others = self._keys(self.fit.others.get(line.row.pk, ()))
        need = self._need(_id(line, f"{use.id:012}"), [line], goods, use.quantity)
        if self.asked.old_stock is OldStock.FIRST:
            need = replace(need, serves=(goods.key, *old), alternatives=others)
        else:
            need = replace(need, alternatives=(*old, *others))
        self._add(need, Wish((line,), goods, use, old))

    def _want_fluids(self) -> None:
        """Of each fluid the containers for its jobs. One kit by itself takes those that it was built with."""
        for part, jobs in self._by_fluid().items():
            fluid = self._fluid(part, jobs)
            self.fluids.append(fluid)
            sized = all(use.content for lines in jobs.values() for line in lines for use in line.uses)
            alone = all(len(lines) == 1 for lines in jobs.values()) and self.asked.fluids is FluidBuying.BY_JOB
            if sized and (alone or not fluid.containers):
                for line in (line for lines in jobs.values() for line in lines):
                    for use in line.uses:
                        self._want_use(line, use)
            elif fluid.containers:
                self._want_containers(fluid, jobs)
            if not fluid.containers:
                self.missing.append(f"In which containers is {' '.join(fluid.part)} sold, and at what price?")

    def _fluid(self, part: Part, jobs: Mapping[str, list[WantedLine]]) -> Fluid:
        key = (part.maker.code, part.number)
        sizes = ((one.content, one.offers) for one in self.supply.volumes if one.part == key)
        volumes = tuple((job, sum(line.volume or 0 for line in lines)) for job, lines in jobs.items())
        return Fluid(key, volumes, containers_offered(sizes, self.asked.branch.currency), self.asked.branch.currency)

    def _want_containers(self, fluid: Fluid, jobs: Mapping[str, list[WantedLine]]) -> None:
        for bought_for, mix in fluid.bought(self.asked.fluids):
            lines = [line for job in bought_for for line in jobs[job]]
            part = lines[0].uses[0].part
            for filled in mix.containers:
                goods = Goods(part, filled.container.microlitres)
                name = f"{_id(lines[0], 'shared')}-{filled.container.microlitres}"
                self._add(self._need(name, lines, goods, filled.count), Wish(tuple(lines), goods))

    def _need(self, name: str, lines: list[WantedLine], goods: Goods, quantity: int) -> Need:
        """To be on the shelf for the first of the kits that share it."""
        first = min((line.kit for line in lines), key=lambda kit: kit.fitted_on)
        machines = ", ".join(dict.fromkeys(line.kit.machine.name for line in lines))
        return Need(name, machines, goods.key, quantity, self.shelf[first.pk], first.fitted_on, (goods.key,))

    def _add(self, need: Need, wish: Wish) -> None:
        self.needs.append(need)
        self.wishes[need.id] = wish

    def _keys(self, parts: Iterable[int]) -> tuple[PartKey, ...]:
        return tuple(Goods(self.others[part]).key for part in parts if part in self.others)

    def _by_fluid(self) -> dict[Part, dict[str, list[WantedLine]]]:
        """Settled lines of fluids that want some, by part and job."""
        found: dict[Part, dict[str, list[WantedLine]]] = {}
        for line in self.lines:
            if line.settled and line.volume and line.uses:
                jobs = found.setdefault(line.uses[0].part, {})
                jobs.setdefault(self.asked.job_of(line.kit), []).append(line)
        return found

    def _sizes(self, part: Part) -> Iterable[int]:
        return (one.content for one in self.supply.volumes if one.part == Goods(part).key)


def _shelf_dates(asked: PlanAsked, days: Calendar | None) -> dict[UUID, date]:
    if days is None:
        words = f"On which days does {asked.branch.name} work? Record its calendar, or its closed dates of the year."
        raise DaysUnknown(f"{words} Without them nobody can say when goods must be on the shelf.", pointer="/branch")
    return {kit.pk: shelf_date(days, kit.fitted_on) for kit in asked.kits}


def _id(line: WantedLine, what: str) -> str:
    return f"{line.kit.number:09}-{line.row.line:05}-{what}"


def _old_first(stock: tuple[StockItem, ...], wishes: Mapping[str, Wish]) -> tuple[StockItem, ...]:
    """Plans take stock in the order in which it is told."""
    old = {key for wish in wishes.values() for key in wish.old}
    return tuple(sorted(stock, key=lambda item: item.part not in old))
