"""What a plan is judged by: the rule set, the orders of steps and the day."""

import datetime
from dataclasses import dataclass

from jetwright.limits.rules import RuleSet
from jetwright.rig.order import Orders


@dataclass(frozen=True, slots=True)
class Basis:
    """Rule set, orders and the day the job is done on (for what falls out of test)."""

    rules: RuleSet
    orders: Orders
    day: datetime.date
