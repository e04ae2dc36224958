"""The faults that are put in on purpose: what is broken, and what nobody could tell apart."""

from __future__ import annotations

import ast

import numpy as np
import pytest

from tests.faults import changes


def told(code: str) -> list[str]:
    return [one.told for one in changes(ast.parse(code))]


@pytest.mark.parametrize(
    ("code", "faults"),
    [
        ("a + b", ["a + b -> a - b"]),
        ("a < b", ["a < b -> a >= b"]),
        ("a and b", ["a and b -> a or b"]),
        ("-a", ["-a -> +a"]),
        ("x = 3", ["3 -> 4"]),
        ("x = 2.0", ["2.0 -> 2.2"]),
        ("x = 0.0", ["0.0 -> 0.1"]),
        ("x = 1e-9", ["1e-09 -> 0.001"]),
        ("x = True", ["True -> False"]),
        ("[x for x in y if x]", ["x -> not x"]),
        ("x = y if z else w", ["z -> not z"]),
    ],
)
def test_what_is_broken(code: str, faults: list[str]) -> None:
    assert told(code) == faults


@pytest.mark.parametrize(
    "code",
    [
        "x: Literal[1]",
        "@dataclass(frozen=True, slots=True)\nclass A: pass",
        "x = field(repr=False)",
        "assert x < 3",
        "zip(a, b, strict=True)",
        "np.einsum(of, a, b, c, optimize=True)",
        "x: int | float",
        "x = f'{y:.3f}'",
    ],
)
def test_what_can_change_nothing_is_let_be(code: str) -> None:
    assert told(code) == []


def test_of_a_length_that_is_found_out_only_the_sign_counts() -> None:
    """Numpy takes every negative number alike there; elsewhere -1 is not -2."""
    twelve = np.arange(12)
    for other in (-2, -7):
        assert np.array_equal(twelve.reshape(other, 3), twelve.reshape(-1, 3))
        assert np.array_equal(twelve.reshape(2, 3, other), twelve.reshape(2, 3, -1))
    assert told("a.reshape(-1, 3)") == ["-1 -> +1", "3 -> 4"]
    assert told("a[-1]") == ["-1 -> +1", "1 -> 2"]
    assert told("a.reshape(n - 1, -n)") == ["n - 1 -> n + 1", "1 -> 2", "-n -> +n"]


def test_a_sum_of_products_is_the_same_in_any_order() -> None:
    a, b, c = np.random.default_rng(1).normal(size=(3, 4, 4))
    found = [np.einsum("ij,jk,ik->i", a, b, c, optimize=way) for way in (True, False)]
    assert found[0] == pytest.approx(found[1], rel=1e-12)
