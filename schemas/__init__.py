"""One description of every sheet, in and out: names, kinds of value, units, ranges, sentences and examples."""

from __future__ import annotations

from schemas.sheet import Sheet
from schemas.sheets_in.accounts import Accounts
from schemas.sheets_in.bats_and_boards import BatsAndBoards
from schemas.sheets_in.clay_blends import ClayBlends
from schemas.sheets_in.clay_prices import ClayPrices
from schemas.sheets_in.clay_stock import ClayStock
from schemas.sheets_in.closed_days import ClosedDays
from schemas.sheets_in.drying_months import DryingMonths
from schemas.sheets_in.firings import Firings
from schemas.sheets_in.form_materials import FormMaterials
from schemas.sheets_in.form_minutes import FormMinutes
from schemas.sheets_in.forms import Forms
from schemas.sheets_in.glaze_buckets import GlazeBuckets
from schemas.sheets_in.glazes import Glazes
from schemas.sheets_in.in_progress import InProgress
from schemas.sheets_in.kiln_fit import KilnFit
from schemas.sheets_in.kilns import Kilns
from schemas.sheets_in.labour_hours import LabourHours
from schemas.sheets_in.materials import Materials
from schemas.sheets_in.opening_balances import OpeningBalances
from schemas.sheets_in.orders import Orders
from schemas.sheets_in.settings import SettingsSheet
from schemas.sheets_in.stages import Stages
from schemas.sheets_in.work_log import WorkLog
from schemas.sheets_out.assumptions import Assumptions
from schemas.sheets_out.clay_to_buy import ClayToBuy
from schemas.sheets_out.clay_to_wedge import ClayToWedge
from schemas.sheets_out.closing_balances import ClosingBalances
from schemas.sheets_out.cost_of_goods import CostOfGoods
from schemas.sheets_out.costs_put_in import CostsPutIn
from schemas.sheets_out.earnings import Earnings
from schemas.sheets_out.finished_goods import FinishedGoods
from schemas.sheets_out.firing_costs import FiringCosts
from schemas.sheets_out.glaze_batches import GlazeBatches
from schemas.sheets_out.job_costs import JobCosts
from schemas.sheets_out.journal import Journal
from schemas.sheets_out.kiln_loads import KilnLoads
from schemas.sheets_out.labour import Labour
from schemas.sheets_out.losses import Losses
from schemas.sheets_out.materials_cost import MaterialsCost
from schemas.sheets_out.materials_ledger import MaterialsLedger
from schemas.sheets_out.materials_to_buy import MaterialsToBuy
from schemas.sheets_out.overhead import Overhead
from schemas.sheets_out.pace import Pace
from schemas.sheets_out.packs_to_buy import PacksToBuy
from schemas.sheets_out.part_made import PartMade
from schemas.sheets_out.piece_costs import PieceCosts
from schemas.sheets_out.pieces import Pieces
from schemas.sheets_out.problems import Problems
from schemas.sheets_out.promises import Promises
from schemas.sheets_out.purchases import Purchases
from schemas.sheets_out.sales import Sales
from schemas.sheets_out.schedule import Schedule
from schemas.sheets_out.space import Space
from schemas.sheets_out.stage_hours import StageHours
from schemas.sheets_out.stock_count import StockCount
from schemas.sheets_out.stock_differences import StockDifferences

SHEETS_IN: dict[str, type[Sheet]] = {
    "orders": Orders,
    "forms": Forms,
    "clay_stock": ClayStock,
    "labour_hours": LabourHours,
    "stages": Stages,
    "form_minutes": FormMinutes,
    "drying_months": DryingMonths,
    "kilns": Kilns,
    "firings": Firings,
    "kiln_fit": KilnFit,
    "bats_and_boards": BatsAndBoards,
    "closed_days": ClosedDays,
    "in_progress": InProgress,
    "work_log": WorkLog,
    "clay_blends": ClayBlends,
    "clay_prices": ClayPrices,
    "glazes": Glazes,
    "materials": Materials,
    "glaze_buckets": GlazeBuckets,
    "form_materials": FormMaterials,
    "accounts": Accounts,
    "opening_balances": OpeningBalances,
    "settings": SettingsSheet,
}
"""Sheets to fill in, by name, in the order in which people are told of them."""

REQUIRED = ("orders", "forms", "clay_stock", "labour_hours")
"""Sheets without which there is no plan; the first three are enough for the clay-buying list."""

SHEETS_OUT: dict[str, type[Sheet]] = {
    "pieces": Pieces,
    "clay_to_buy": ClayToBuy,
    "packs_to_buy": PacksToBuy,
    "clay_to_wedge": ClayToWedge,
    "stage_hours": StageHours,
    "glaze_batches": GlazeBatches,
    "materials_to_buy": MaterialsToBuy,
    "materials_cost": MaterialsCost,
    "schedule": Schedule,
    "kiln_loads": KilnLoads,
    "promises": Promises,
    "pace": Pace,
    "space": Space,
    "labour": Labour,
    "firing_costs": FiringCosts,
    "overhead": Overhead,
    "job_costs": JobCosts,
    "earnings": Earnings,
    "piece_costs": PieceCosts,
    "losses": Losses,
    "purchases": Purchases,
    "costs_put_in": CostsPutIn,
    "materials_ledger": MaterialsLedger,
    "part_made": PartMade,
    "sales": Sales,
    "finished_goods": FinishedGoods,
    "stock_differences": StockDifferences,
    "cost_of_goods": CostOfGoods,
    "journal": Journal,
    "stock_count": StockCount,
    "closing_balances": ClosingBalances,
    "problems": Problems,
    "assumptions": Assumptions,
}
"""Sheets that come out, by name."""
