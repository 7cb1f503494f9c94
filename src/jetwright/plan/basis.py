"""What a plan is judged by: the rule set, the orders of steps, the day and the published goals."""

import datetime
from dataclasses import dataclass

from jetwright.limits.rules import RuleSet
from jetwright.rig.goal import NONE, Goals
from jetwright.rig.order import Orders


@dataclass(frozen=True, slots=True)
class Basis:
    """Rule set, orders, the day the job is done on (for what falls out of test), and the published goals."""

    rules: RuleSet
    orders: Orders
    day: datetime.date
    goals: Goals = NONE
