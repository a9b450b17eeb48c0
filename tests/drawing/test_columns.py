"""Places side by side, and symbols in their columns."""

import random
from itertools import permutations

from ohmtrail.drawing.columns import GAP, column_order, packed_rows


def _length(order: tuple[str, ...], links: dict[tuple[str, str], int]) -> int:
    return sum(count * abs(order.index(a) - order.index(b)) for (a, b), count in links.items())


def test_the_order_of_columns_is_the_best_of_all() -> None:
    """Against every order of six places, on random leads."""
    rng = random.Random(5)
    places = tuple("abcdef")
    for _ in range(20):
        links = {(a, b): rng.randint(0, 3) for a in places for b in places if a < b}
        best = min(_length(order, links) for order in permutations(places))
        assert _length(column_order(places, links), links) == best


def test_symbols_of_a_row_keep_apart_and_upright_leads_stay_upright() -> None:
    """Two symbols in a row, one below the second: it stands under it."""
    extents = {"a": (20.0, 60.0), "b": (20.0, 60.0), "c": (10.0, 30.0)}
    x = packed_rows([["a", "b"], ["c"]], extents, {"c": [("b", 0.0)], "b": [("c", 0.0)]})
    assert x["c"] == x["b"]
    assert x["b"] - 20.0 >= x["a"] + 60.0 + GAP
    assert min(x[name] - extents[name][0] for name in x) == 0.0
