"""Tracks between two rows, on random runs and on rings."""

from hypothesis import given
from hypothesis import strategies as st

from ohmtrail.drawing.channels import BESIDE, Run, assign_tracks

Spots = st.lists(st.integers(0, 30), min_size=2, max_size=14, unique=True)


def _upright(run: Run, way: tuple[tuple[float, int], ...], count: int) -> list[tuple[float, float, float]]:
    """Upright stretches of a run: abscissa, from track, to track."""
    found, x, level = [], run.start, -1.0
    for to, track in way:
        found.append((x, level, float(track)))
        x, level = to, float(track)
    return [*found, (x, level, float(count))]


@given(Spots, st.randoms(use_true_random=False))
def test_no_two_runs_lie_on_each_other(spots: list[int], rng: object) -> None:
    """Upright stretches nearer than the limit never share a height; tracks are shared only apart."""
    starts = [spot * 20.0 for spot in spots]
    ends = list(starts)
    rng.shuffle(ends)  # type: ignore[attr-defined]  # a random generator
    runs = [Run(f"r{index}", start, end) for index, (start, end) in enumerate(zip(starts, ends, strict=True))]
    tracks = assign_tracks(runs, width=700.0)
    pieces = [(run, piece) for run in runs for piece in _upright(run, tracks.way[run.lead], tracks.count)]
    for index, (one, a) in enumerate(pieces):
        for two, b in pieces[index + 1 :]:
            if one is not two and abs(a[0] - b[0]) < BESIDE:
                assert min(a[2], b[2]) <= max(a[1], b[1])
    lying = [(run, low, high, track) for run in runs for low, high, track in _lying(run, tracks.way[run.lead])]
    for index, (one, low, high, track) in enumerate(lying):
        for two, other_low, other_high, other in lying[index + 1 :]:
            assert one is two or track != other or high < other_low or other_high < low


def _lying(run: Run, way: tuple[tuple[float, int], ...]) -> list[tuple[float, float, int]]:
    found, x = [], run.start
    for to, track in way:
        found.append((min(x, to), max(x, to), track))
        x = to
    return found


def test_two_that_change_places_are_a_ring_and_still_route() -> None:
    """A to b and b to a: one of them is bent in two."""
    tracks = assign_tracks([Run("one", 100.0, 200.0), Run("two", 200.0, 100.0)], width=400.0)
    assert max(len(way) for way in tracks.way.values()) == 2


def test_a_straight_run_takes_no_track() -> None:
    """What goes straight down needs no room."""
    assert assign_tracks([Run("one", 100.0, 100.0)], width=400.0).count == 0
