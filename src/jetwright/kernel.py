"""The mark on a function that is fit to be compiled: floats and parts in, floats out, nothing raised or built."""

from collections.abc import Callable
from typing import Any, TypeVar

Function = TypeVar("Function", bound=Callable[..., Any])

KERNELS: list[Callable[..., Any]] = []
"""Every marked function, in the order in which the modules define them."""


def kernel(function: Function) -> Function:
    """Mark a function as one text that runs plain and compiled, and return it unchanged. [-]

    Parameters
    ----------
    function : Callable
        Takes and returns floats, parts and work arrays; raises nothing and builds nothing. [-]

    Examples
    --------
    >>> @kernel
    ... def double(value: float) -> float:
    ...     return 2.0 * value
    >>> double(1.5)
    3.0
    >>> KERNELS.pop() is double
    True

    References
    ----------
    Our own convention.
    """
    KERNELS.append(function)
    return function
