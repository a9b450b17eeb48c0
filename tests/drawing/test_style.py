"""Readable by all: contrast, and meaning that does not rest on hue."""

import pytest

from ohmtrail.drawing.style import BANDS, BLUE, GREEN, INK, MUTED, RED, screen_of


def _luminance(colour: str) -> float:
    parts = [int(colour[index : index + 2], 16) / 255 for index in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("ground", [*BANDS, "#ffffff"])
@pytest.mark.parametrize("ink", [INK, MUTED, BLUE, RED, GREEN])
def test_text_stands_out_from_its_ground(ink: str, ground: str) -> None:
    """WCAG 2.2: at least 4.5 to 1."""
    light, dark = sorted((_luminance(ink), _luminance(ground)), reverse=True)
    assert (light + 0.05) / (dark + 0.05) >= 4.5


def test_unknown_letters_are_drawn_grey() -> None:
    """A colour that is in no table still draws."""
    assert screen_of("XX")[0].startswith("#")
    assert screen_of("VT/WH") == (screen_of("VT")[0], screen_of("WH")[0])
