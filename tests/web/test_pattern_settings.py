"""Settings are lines of text; the usual ones have fields."""

from hypothesis import given
from hypothesis import strategies as st

from shoptrack.web.pattern_settings import USUAL, settings_fields, settings_text

TEXT = "fence: 3 in\ncauls waxed\nclamp layout: 3 over, 3 under\nfence: then 4 in"


def test_a_line_fills_its_field_and_the_rest_is_free() -> None:
    found = settings_fields(TEXT)
    assert found["fence"] == "3 in"
    assert found["clamp_layout"] == "3 over, 3 under"
    assert found["settings"] == "cauls waxed\nfence: then 4 in"


def test_the_usual_ones_come_first() -> None:
    typed = {"depth": " 5/16 ", "settings": "climb\n\nslow", "bit": "1/8 down"}
    assert settings_text(typed) == "bit: 1/8 down\ndepth: 5/16\nclimb\n\nslow"
    assert settings_text({}) == ""
    assert settings_fields("") == {"settings": ""}


@given(st.dictionaries(st.sampled_from([*USUAL, "settings"]), st.text("ab 1", min_size=1).filter(str.strip)))
def test_what_is_typed_comes_back(typed: dict[str, str]) -> None:
    text = settings_text(typed)
    assert settings_text(settings_fields(text)) == text
