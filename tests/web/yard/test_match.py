"""Finding the piece that each row of a file is: what it takes grows with the rows, not with rows times pieces."""

import time

from jetwright.web.yard.arriving import Arrival, _match
from jetwright.web.yard.models import Piece

FEW, MANY = 400, 4000


def seconds(rows: int) -> float:
    """The least of some tries, of the processor's time. [s]"""
    beside = [Piece(kind="hose", name=f"S{number}") for number in range(rows)]
    found = [Arrival("hose", f"R{number}", {}) for number in range(rows)]
    taken = []
    for _turn in range(3):
        began = time.process_time()
        _match(found, beside)
        taken.append(time.process_time() - began)
    return min(taken)


def test_ten_times_the_rows_take_some_ten_times_as_long():
    assert seconds(MANY) < 40 * seconds(FEW)  # each row against each piece: a hundred times
