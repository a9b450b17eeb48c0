"""What changes draw, solved in systems of their own size."""

from __future__ import annotations

import numpy as np

from ohmtrail.circuit.drawn import by_changes, drawn


def test_rows_of_their_own_size_draw_what_rows_of_one_width_draw() -> None:
    """Rows with none, one, two and three changes at any of four slots, against whole systems."""
    generator = np.random.default_rng(3)
    z = generator.random((40, 4, 4)) + 4.0 * np.eye(4)
    added = np.where(generator.random((40, 4)) < 0.4, generator.random((40, 4)) - 0.3, 0.0)
    right = generator.random((40, 4, 3))
    whole = added[:, :, None] * np.linalg.solve(np.eye(4) + z * added[:, None, :], right)
    np.testing.assert_allclose(drawn(z, added, right), whole, rtol=1e-11, atol=1e-13)
    groups = {slots.shape[1]: rows[:, 0].tolist() for rows, slots in by_changes(added)}
    assert set(groups) >= {1, 2, 3} and sorted(row for rows in groups.values() for row in rows) == np.flatnonzero(added.any(axis=1)).tolist()
